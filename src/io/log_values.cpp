#include "log_values.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace heatrow {
namespace {

std::string upper(std::string_view text) {
    std::string result(text);
    for (char& c : result) {
        c = c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
    }
    return result;
}

bool is_missing_text(std::string_view text) {
    constexpr std::array<std::string_view, 9> kTexts{"", "NAN", "NA", "N/A", "#N/A", "NULL", "-", "--", "---"};
    return std::find(kTexts.begin(), kTexts.end(), upper(text)) != kTexts.end();
}

bool is_missing_code(double value) {
    constexpr std::array<double, 4> kCodes{-9999.0, -7999.0, 7999.0, -6999.0};
    return std::find(kCodes.begin(), kCodes.end(), value) != kCodes.end();
}

}  // namespace

std::optional<double> ValueReader::read(const LogTable& table, const TextRow& row, std::size_t column) const {
    const std::string_view text = cell(row, column);
    if (is_missing_text(text) || std::find(missing_.begin(), missing_.end(), text) != missing_.end()) {
        return std::nullopt;
    }
    const auto value = table.text.number(text);
    if (!value) {
        refuse_log(table.place(row, column),
                   fmt::format("'{}' is no number", text),
                   "Correct the value, leave the field empty, or declare the text with the key missing in survey.toml");
    }
    return is_missing_code(*value) ? std::nullopt : value;
}

void ImplausibleValues::leave_out(int line, std::string_view written) {
    if (lines.empty()) {
        first = std::string(written);
    }
    lines.push_back(line);
}

void report_implausible(const LogTable& table,
                        const ImplausibleValues& values,
                        const ValueRange& range,
                        std::vector<LogFinding>& findings) {
    const int out = static_cast<int>(values.lines.size());
    if (out == 0) {
        return;
    }
    if (out > values.kept) {
        refuse_log(fmt::format("{}, line {}, field {}", table.text.name, values.lines.front(), range.field),
                   fmt::format("'{}', like {} of {} values, is outside {} ({})",
                               values.first,
                               out,
                               out + values.kept,
                               range.range,
                               range.quantity),
                   fmt::format("Check the column and its unit: {} columns and units", range.section));
    }
    findings.push_back({"implausible_value",
                        out,
                        fmt::format("{}: {} left out of {}, outside {}; the first is '{}'",
                                    range.quantity,
                                    out == 1 ? "1 value was" : fmt::format("{} values were", out),
                                    list_lines(values.lines),
                                    range.range,
                                    values.first)});
}

}  // namespace heatrow
