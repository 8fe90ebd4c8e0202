#include "csv_table.hpp"

#include "heatrow/core/error.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <fstream>
#include <iterator>
#include <limits>

namespace scene {
namespace {

using heatrow::Error;
using heatrow::ErrorKind;

std::vector<std::vector<std::string>> split(std::string_view text) {
    std::vector<std::vector<std::string>> rows;
    std::vector<std::string> row;
    std::string field;
    bool quoted = false;
    bool any = false;
    const auto end_row = [&] {
        if (any) {
            row.push_back(std::move(field));
            rows.push_back(std::move(row));
        }
        field.clear();
        row.clear();
        any = false;
    };
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if (quoted) {
            if (c == '"' && i + 1 < text.size() && text[i + 1] == '"') {
                field += '"';
                ++i;
            } else if (c == '"') {
                quoted = false;
            } else {
                field += c;
            }
        } else if (c == '"') {
            quoted = true;
            any = true;
        } else if (c == ',') {
            row.push_back(std::move(field));
            field.clear();
            any = true;
        } else if (c == '\n') {
            end_row();
        } else if (c != '\r') {
            field += c;
            any = true;
        }
    }
    end_row();
    return rows;
}

}  // namespace

CsvTable CsvTable::read(const std::filesystem::path& file, const std::vector<std::string>& columns) {
    std::ifstream in(file, std::ios::binary);
    const std::string text{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
    if (!in.is_open() || in.bad()) {
        throw Error(ErrorKind::input,
                    "Could not read the table",
                    file.string(),
                    "the file cannot be opened",
                    "Check the folder.");
    }
    return parse(text, file.string(), columns);
}

CsvTable CsvTable::parse(std::string_view text, const std::string& name, const std::vector<std::string>& columns) {
    CsvTable table;
    table.name_ = name;
    auto rows = split(text);
    if (rows.empty()) {
        throw Error(ErrorKind::input, "Could not read the table", name, "it has no header", "Write it again.");
    }
    for (std::size_t i = 0; i < rows.front().size(); ++i) {
        table.columns_.emplace(rows.front()[i], i);
    }
    for (const std::string& column : columns) {
        if (!table.columns_.contains(column)) {
            throw Error(ErrorKind::input,
                        "Could not use the table",
                        name,
                        "column '" + column + "' is missing",
                        "Its columns are listed in docs/.");
        }
    }
    for (std::size_t i = 1; i < rows.size(); ++i) {
        if (rows[i].size() != rows.front().size()) {
            throw Error(ErrorKind::input,
                        "Could not use the table",
                        fmt::format("{}, row {}", name, i + 1),
                        fmt::format("{} fields, the header has {}", rows[i].size(), rows.front().size()),
                        "Write it again.");
        }
        table.rows_.push_back(std::move(rows[i]));
    }
    return table;
}

const std::string& CsvTable::text(std::size_t row, std::string_view column) const {
    return rows_.at(row).at(columns_.find(column)->second);
}

double CsvTable::number(std::size_t row, std::string_view column) const {
    const std::string& field = text(row, column);
    if (field.empty()) {
        return std::numeric_limits<double>::quiet_NaN();
    }
    double value = 0.0;
    const auto [end, error] = std::from_chars(field.data(), field.data() + field.size(), value);
    if (error != std::errc() || end != field.data() + field.size()) {
        throw Error(ErrorKind::input,
                    "Could not use the table",
                    fmt::format("{}, row {}", name_, row + 2),
                    fmt::format("{} is '{}', no number", column, field),
                    "Write it again.");
    }
    return value;
}

std::string csv_field(const std::string& text) {
    if (text.find_first_of(",\"\r\n") == std::string::npos) {
        return text;
    }
    std::string result = "\"";
    for (const char c : text) {
        result += c == '"' ? "\"\"" : std::string(1, c);
    }
    return result + "\"";
}

std::vector<std::string> words_of(std::string_view field) {
    std::vector<std::string> words;
    std::string word;
    for (const char c : field) {
        if (c == ' ' || c == '|' || c == ',' || c == ';') {
            if (!word.empty()) {
                words.push_back(std::move(word));
            }
            word.clear();
        } else {
            word += c;
        }
    }
    if (!word.empty()) {
        words.push_back(std::move(word));
    }
    return words;
}

}  // namespace scene
