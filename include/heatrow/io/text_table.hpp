// Tables as text in the dialects that loggers, spreadsheets and people write: any of three delimiters, decimal point
// or comma, UTF-8, UTF-16 or a Western 8-bit encoding, a byte order mark, a leading "sep=" line, quoted cells.
#pragma once

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// How the text was read.
struct TextDialect {
    std::string encoding = "UTF-8";  // "UTF-8", "UTF-16LE", "UTF-16BE", "Windows-1252" (what is no valid UTF-8)
    bool byte_order_mark = false;
    bool sep_line = false;       // a first line "sep=;"
    char delimiter = ',';        // ',', ';' or tab
    bool decimal_comma = false;  // numbers are written 801,5; only where the delimiter is no comma
};
// "semicolon-separated, decimal comma, UTF-16LE".
std::string describe(const TextDialect& dialect);

struct TextRow {
    int line = 0;                    // in the file, from 1; of its first line where a quoted cell holds line breaks
    std::vector<std::string> cells;  // UTF-8, without surrounding blanks and quotes
};

struct TextTable {
    std::string name;  // of the file, for messages
    TextDialect dialect;
    TextRow header;             // the first row that is not blank
    std::vector<TextRow> rows;  // the others; blank lines are left out, rows may be shorter or longer than the header

    // Index of a column of the header by its name, exactly as written.
    [[nodiscard]] std::optional<std::size_t> find_column(std::string_view column) const;
    // The number in a text under the dialect's decimal mark; nothing if the text is no finite number.
    [[nodiscard]] std::optional<double> number(std::string_view text) const;
    // "FILE, line N" or "FILE, line N, field F", for messages.
    [[nodiscard]] std::string place(const TextRow& row, std::string_view field = {}) const;
};

// A cell of a row; empty where the row is too short.
std::string_view cell(const TextRow& row, std::size_t column);

// Errors (kind input): bytes that are no text, an odd count of bytes in UTF-16, a quote that never closes, an empty
// table, decimal commas and points mixed in one table. `name` is the file's name for messages.
TextTable parse_text_table(std::string_view bytes, std::string_view name);
// The same from a file; an Error too if it cannot be read.
TextTable read_text_table(const std::filesystem::path& path);

}  // namespace heatrow
