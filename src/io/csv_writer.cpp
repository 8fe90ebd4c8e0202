#include "heatrow/io/csv_writer.hpp"

#include "heatrow/report/markup.hpp"
#include "heatrow/report/number_text.hpp"

#include <cassert>

namespace heatrow {
namespace {

// What spreadsheets take for the beginning of a formula, and the apostrophe that marks text.
constexpr std::string_view kDangerousFirst = "=+-@\t\r'";

}  // namespace

CsvWriter::CsvWriter(const std::vector<std::string_view>& columns) : columns_(columns.size()) {
    for (const std::string_view column : columns) {
        text(column);
    }
    end_row();
}

void CsvWriter::separate() {
    if (fields_ > 0) {
        out_ += ',';
    }
    ++fields_;
}

CsvWriter& CsvWriter::text(std::string_view value) {
    separate();
    std::string safe = clean_utf8(value);
    if (!safe.empty() && kDangerousFirst.find(safe.front()) != std::string_view::npos) {
        safe.insert(safe.begin(), '\'');
    }
    if (safe.find_first_of(",\"\r\n") == std::string::npos) {
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
    out_ += fixed_text(value, decimals);
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

}  // namespace heatrow
