// A CSV file with a header row (RFC 4180: quoted fields may hold commas, quotes and line ends).
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace scene {

class CsvTable {
  public:
    // Columns that must be there; a missing one, or a row of another length, is an Error.
    static CsvTable read(const std::filesystem::path& file, const std::vector<std::string>& columns);
    static CsvTable parse(std::string_view text, const std::string& name, const std::vector<std::string>& columns);

    [[nodiscard]] std::size_t size() const { return rows_.size(); }
    [[nodiscard]] const std::string& text(std::size_t row, std::string_view column) const;
    // NaN for an empty field; anything else that is no number is an Error.
    [[nodiscard]] double number(std::size_t row, std::string_view column) const;

  private:
    std::string name_;
    std::map<std::string, std::size_t, std::less<>> columns_;
    std::vector<std::vector<std::string>> rows_;
};

// A field to be written: quoted where it holds a comma, a quote or a line end.
std::string csv_field(const std::string& text);

// The words of a field that lists several, by blanks, '|', ',' or ';'.
std::vector<std::string> words_of(std::string_view field);

}  // namespace scene
