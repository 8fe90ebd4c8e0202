// Comma-separated values as of RFC 4180: UTF-8, CRLF, header first.
#pragma once

#include "heatrow/io/table_writer.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// machine: `,` between fields, `.` as the decimal mark. decimal_comma: `;` and `,`, with a byte order mark, for
// spreadsheets where that is the custom.
enum class CsvDialect { machine, decimal_comma };

// Builds a table row by row. Text that a spreadsheet could take for a formula (it begins with = + - @, a tab or a
// carriage return) and text that begins with an apostrophe gets an apostrophe in front; taking one leading apostrophe
// off gives the text back. Numbers are written as they are; NaN and infinities are empty fields.
class CsvWriter : public TableWriter {
  public:
    explicit CsvWriter(const std::vector<std::string_view>& columns, CsvDialect dialect = CsvDialect::machine);

    CsvWriter& text(std::string_view value) override;
    CsvWriter& number(double value, int decimals) override;
    CsvWriter& integer(long long value) override;
    CsvWriter& empty() override;
    void end_row() override;

    [[nodiscard]] const std::string& str() const { return out_; }

  private:
    void separate();

    std::string out_;
    std::size_t columns_;
    std::size_t fields_ = 0;
    CsvDialect dialect_;
};

// Names joined by `|`; a backslash or `|` inside a name gets a backslash in front.
std::string join_names(const std::vector<std::string>& names);
// The way back; no names for an empty text.
std::vector<std::string> split_names(std::string_view joined);

}  // namespace heatrow
