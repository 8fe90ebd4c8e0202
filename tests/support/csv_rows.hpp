// Rows of a table that the program wrote, by column.
#pragma once

#include "support/text_file.hpp"

#include <filesystem>
#include <map>
#include <sstream>
#include <string>
#include <vector>

namespace heatrow::testing {

using CsvRow = std::map<std::string, std::string>;  // by column

// Commas, quotes, lines that end in LF or CRLF; no line breaks in fields.
inline std::vector<CsvRow> csv_rows(const std::filesystem::path& csv) {
    std::istringstream file(text_of(csv));
    std::string line;
    const auto fields_of = [&line] {
        std::vector<std::string> fields(1);
        bool quoted = false;
        for (const char c : line) {
            if (c == '"') {
                quoted = !quoted;
            } else if (c == ',' && !quoted) {
                fields.emplace_back();
            } else if (c != '\r') {
                fields.back() += c;
            }
        }
        return fields;
    };
    std::getline(file, line);
    const auto columns = fields_of();
    std::vector<CsvRow> rows;
    while (std::getline(file, line)) {
        const auto fields = fields_of();
        CsvRow& row = rows.emplace_back();
        for (std::size_t i = 0; i < columns.size() && i < fields.size(); ++i) {
            row[columns[i]] = fields[i];
        }
    }
    return rows;
}

}  // namespace heatrow::testing
