#include "heatrow/io/text_table.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/io/decode_text.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

namespace heatrow {
namespace {

constexpr std::string_view kFailed = "cannot read a table";

std::string_view without_blanks(std::string_view text) {
    constexpr std::string_view kBlanks = " \t\r\n\v\f";
    const auto first = text.find_first_not_of(kBlanks);
    if (first == std::string_view::npos) {
        return {};
    }
    return text.substr(first, text.find_last_not_of(kBlanks) - first + 1);
}

// Splits a text into rows of cells after RFC 4180, with any delimiter and any of the three line ends.
class RowSplitter {
  public:
    RowSplitter(std::string_view text, char delimiter, int first_line, std::string_view name)
        : text_(text), delimiter_(delimiter), line_(first_line), name_(name) {}

    // False at the end. Blank rows are skipped.
    bool next(TextRow& row) {
        while (at_ < text_.size()) {
            row = TextRow{line_, {}};
            read_row(row);
            const bool blank =
                std::all_of(row.cells.begin(), row.cells.end(), [](const std::string& text) { return text.empty(); });
            if (!blank) {
                return true;
            }
        }
        return false;
    }

  private:
    void read_row(TextRow& row) {
        for (;;) {
            row.cells.push_back(read_cell());
            if (at_ >= text_.size()) {
                return;
            }
            const char end = text_[at_++];
            if (end == delimiter_) {
                continue;
            }
            if (end == '\r' && at_ < text_.size() && text_[at_] == '\n') {
                ++at_;
            }
            ++line_;
            return;
        }
    }

    [[nodiscard]] bool at_cell_end() const {
        return at_ >= text_.size() || text_[at_] == delimiter_ || text_[at_] == '\n' || text_[at_] == '\r';
    }

    std::string read_cell() {
        while (at_ < text_.size() && text_[at_] == ' ') {
            ++at_;
        }
        if (at_ < text_.size() && text_[at_] == '"') {
            return read_quoted();
        }
        const std::size_t start = at_;
        while (!at_cell_end()) {
            ++at_;
        }
        return std::string(without_blanks(text_.substr(start, at_ - start)));
    }

    std::string read_quoted() {
        const int opened_on = line_;
        std::string cell;
        for (++at_; at_ < text_.size(); ++at_) {
            if (text_[at_] != '"') {
                line_ += text_[at_] == '\n' ? 1 : 0;
                cell.push_back(text_[at_]);
            } else if (at_ + 1 < text_.size() && text_[at_ + 1] == '"') {
                cell.push_back('"');
                ++at_;
            } else {
                ++at_;
                while (!at_cell_end()) {
                    cell.push_back(text_[at_++]);  // text behind the closing quote is kept as it stands
                }
                return std::string(without_blanks(cell));
            }
        }
        throw Error(ErrorKind::input,
                    kFailed,
                    std::string(name_) + ", line " + std::to_string(opened_on),
                    "a quoted cell is opened and never closed",
                    "Close the quote, or take it out");
    }

    std::string_view text_;
    char delimiter_;
    int line_;
    std::string_view name_;
    std::size_t at_ = 0;
};

// How often each candidate occurs outside quotes in the first lines; the most frequent wins, and of equals the one
// that no number can contain.
char guess_delimiter(std::string_view text) {
    constexpr std::array<char, 3> kCandidates{'\t', ';', ','};
    constexpr int kLinesLookedAt = 20;
    std::array<int, 3> lines_with{0, 0, 0};
    std::array<bool, 3> seen{false, false, false};
    bool quoted = false;
    int lines = 0;
    for (std::size_t at = 0; at <= text.size() && lines < kLinesLookedAt; ++at) {
        const char c = at < text.size() ? text[at] : '\n';
        if (c == '"') {
            quoted = !quoted;
        } else if (c == '\n' && !quoted) {
            for (std::size_t i = 0; i < seen.size(); ++i) {
                lines_with[i] += seen[i] ? 1 : 0;
                seen[i] = false;
            }
            ++lines;
        } else if (!quoted) {
            for (std::size_t i = 0; i < seen.size(); ++i) {
                seen[i] = seen[i] || c == kCandidates[i];
            }
        }
    }
    // A delimiter stands on every line: a semicolon or tab that does wins over the comma, which may be a decimal mark.
    const int most = *std::max_element(lines_with.begin(), lines_with.end());
    for (std::size_t i = 0; i < kCandidates.size(); ++i) {
        if (most > 0 && lines_with[i] * 10 >= most * 9) {
            return kCandidates[i];
        }
    }
    return ',';
}

// A plain number whose decimal mark is `mark`, with digits on both sides of it.
bool is_number_with(std::string_view text, char mark) {
    if (!text.empty() && (text.front() == '-' || text.front() == '+')) {
        text.remove_prefix(1);
    }
    const auto at = text.find(mark);
    if (at == std::string_view::npos || at == 0 || at + 1 == text.size()) {
        return false;
    }
    const auto is_digit = [](char c) { return c >= '0' && c <= '9'; };
    return std::all_of(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), is_digit) &&
           std::all_of(text.begin() + static_cast<std::ptrdiff_t>(at) + 1, text.end(), is_digit);
}

bool find_decimal_comma(const TextTable& table) {
    const TextRow* with_comma = nullptr;
    const TextRow* with_point = nullptr;
    std::string comma_text;
    std::string point_text;
    for (const TextRow& row : table.rows) {
        for (const std::string& text : row.cells) {
            if (with_comma == nullptr && is_number_with(text, ',')) {
                with_comma = &row;
                comma_text = text;
            } else if (with_point == nullptr && is_number_with(text, '.')) {
                with_point = &row;
                point_text = text;
            }
        }
    }
    if (with_comma != nullptr && with_point != nullptr) {
        throw Error(ErrorKind::input,
                    kFailed,
                    table.place(*with_comma),
                    "'" + comma_text + "' has a decimal comma, '" + point_text + "' in line " +
                        std::to_string(with_point->line) + " a decimal point",
                    "Export the table with one decimal mark");
    }
    return with_comma != nullptr;
}

// "sep=;" as the first line: takes it off and returns its delimiter.
std::optional<char> take_sep_line(std::string_view& text) {
    const auto end = std::min(text.find('\n'), text.size());
    std::string_view line = without_blanks(text.substr(0, end));
    if (line.size() >= 2 && line.front() == '"' && line.back() == '"') {
        line = line.substr(1, line.size() - 2);
    }
    const bool tab = text.substr(0, end).starts_with("sep=\t");
    if (!tab && (line.size() != 5 || !line.starts_with("sep="))) {
        return std::nullopt;
    }
    const char delimiter = tab ? '\t' : line[4];
    text.remove_prefix(std::min(end + 1, text.size()));
    return delimiter;
}

}  // namespace

std::string describe(const TextDialect& dialect) {
    std::string text = dialect.delimiter == ',' ? "comma" : dialect.delimiter == ';' ? "semicolon" : "tab";
    text += "-separated, decimal ";
    text += dialect.decimal_comma ? "comma" : "point";
    text += ", " + dialect.encoding;
    if (dialect.byte_order_mark) {
        text += " with byte order mark";
    }
    if (dialect.sep_line) {
        text += ", sep= line";
    }
    return text;
}

std::string_view cell(const TextRow& row, std::size_t column) {
    return column < row.cells.size() ? std::string_view(row.cells[column]) : std::string_view();
}

std::optional<std::size_t> TextTable::find_column(std::string_view column) const {
    const auto found = std::find(header.cells.begin(), header.cells.end(), column);
    if (found == header.cells.end()) {
        return std::nullopt;
    }
    return static_cast<std::size_t>(found - header.cells.begin());
}

std::optional<double> TextTable::number(std::string_view text) const {
    std::string plain(text);
    if (dialect.decimal_comma) {
        if (plain.find('.') != std::string::npos) {
            return std::nullopt;
        }
        std::replace(plain.begin(), plain.end(), ',', '.');
    }
    const char* begin = plain.data();
    const char* const end = plain.data() + plain.size();
    if (begin != end && *begin == '+' && begin + 1 != end && begin[1] != '-') {
        ++begin;
    }
    double value = 0.0;
    const auto [stopped, error] = std::from_chars(begin, end, value);
    if (error != std::errc{} || stopped != end || !std::isfinite(value)) {
        return std::nullopt;
    }
    return value;
}

std::string TextTable::place(const TextRow& row, std::string_view field) const {
    std::string text = name + ", line " + std::to_string(row.line);
    if (!field.empty()) {
        text += ", field " + std::string(field);
    }
    return text;
}

TextTable parse_text_table(std::string_view bytes, std::string_view name) {
    const DecodedText decoded = decode_text(bytes, name);
    TextTable table;
    table.name = std::string(name);
    table.dialect.encoding = decoded.encoding;
    table.dialect.byte_order_mark = decoded.byte_order_mark;
    std::string_view text = decoded.text;
    const auto sep = take_sep_line(text);
    table.dialect.sep_line = sep.has_value();
    if (sep && *sep != ',' && *sep != ';' && *sep != '\t') {
        throw Error(ErrorKind::input,
                    kFailed,
                    table.name + ", line 1",
                    std::string("'sep=") + *sep + "' names a delimiter that is not supported",
                    "Use a comma, a semicolon or a tab");
    }
    table.dialect.delimiter = sep.value_or(guess_delimiter(text));

    RowSplitter splitter(text, table.dialect.delimiter, sep ? 2 : 1, name);
    if (!splitter.next(table.header)) {
        throw Error(ErrorKind::input, kFailed, name, "it is empty", "Give a table with a header row");
    }
    for (TextRow row; splitter.next(row);) {
        table.rows.push_back(std::move(row));
    }
    table.dialect.decimal_comma = table.dialect.delimiter != ',' && find_decimal_comma(table);
    return table;
}

TextTable read_text_table(const std::filesystem::path& path) {
    return parse_text_table(read_text_bytes(path), path.string());
}

}  // namespace heatrow
