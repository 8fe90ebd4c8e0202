#include "heatrow/io/csv_writer.hpp"

#include "heatrow/report/markup.hpp"
#include "heatrow/report/number_text.hpp"

#include <algorithm>
#include <cassert>

namespace heatrow {
namespace {

constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
// What spreadsheets take for the beginning of a formula, and the apostrophe that marks text.
constexpr std::string_view kDangerousFirst = "=+-@\t\r'";

}  // namespace

CsvWriter::CsvWriter(const std::vector<std::string_view>& columns, CsvDialect dialect)
    : out_(dialect == CsvDialect::decimal_comma ? kByteOrderMark : std::string_view{}),
      columns_(columns.size()),
      dialect_(dialect) {
    for (const std::string_view column : columns) {
        text(column);
    }
    end_row();
}

void CsvWriter::separate() {
    if (fields_ > 0) {
        out_ += dialect_ == CsvDialect::decimal_comma ? ';' : ',';
    }
    ++fields_;
}

CsvWriter& CsvWriter::text(std::string_view value) {
    separate();
    std::string safe = clean_utf8(value);
    if (!safe.empty() && kDangerousFirst.find(safe.front()) != std::string_view::npos) {
        safe.insert(safe.begin(), '\'');
    }
    if (safe.find_first_of(dialect_ == CsvDialect::decimal_comma ? ";\"\r\n" : ",\"\r\n") == std::string::npos) {
        out_ += safe;
        return *this;
    }
    out_ += '"';
    for (const char c : safe) {
        out_ += c;
        if (c == '"') {
            out_ += '"';
        }
    }
    out_ += '"';
    return *this;
}

CsvWriter& CsvWriter::number(double value, int decimals) {
    separate();
    std::string digits = fixed_text(value, decimals);
    if (dialect_ == CsvDialect::decimal_comma) {
        std::replace(digits.begin(), digits.end(), '.', ',');
    }
    out_ += digits;
    return *this;
}

CsvWriter& CsvWriter::integer(long long value) {
    separate();
    out_ += std::to_string(value);
    return *this;
}

CsvWriter& CsvWriter::empty() {
    separate();
    return *this;
}

void CsvWriter::end_row() {
    assert(fields_ == columns_);
    out_ += "\r\n";
    fields_ = 0;
}

std::string join_names(const std::vector<std::string>& names) {
    std::string out;
    for (std::size_t i = 0; i < names.size(); ++i) {
        out += i == 0 ? "" : "|";
        for (const char c : names[i]) {
            if (c == '|' || c == '\\') {
                out += '\\';
            }
            out += c;
        }
    }
    return out;
}

std::vector<std::string> split_names(std::string_view joined) {
    std::vector<std::string> names;
    if (joined.empty()) {
        return names;
    }
    names.emplace_back();
    for (std::size_t i = 0; i < joined.size(); ++i) {
        if (joined[i] == '|') {
            names.emplace_back();
            continue;
        }
        if (joined[i] == '\\' && i + 1 < joined.size()) {
            ++i;
        }
        names.back() += joined[i];
    }
    return names;
}

}  // namespace heatrow
