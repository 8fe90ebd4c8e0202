#include "grade_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace scene {
namespace {

int digits_of(const std::string& unit) {
    return unit == "px" ? 3 : 2;
}

// Columns that a terminal shows: UTF-8 bytes that begin a character.
std::size_t width_of(const std::string& text) {
    return static_cast<std::size_t>(
        std::ranges::count_if(text, [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

std::string without_bars(const std::string& text) {
    std::string result;
    for (const char c : text) {
        result += c == '|' ? std::string("\\|") : std::string(1, c == '\n' ? ' ' : c);
    }
    return result;
}

}  // namespace

std::string to_text(const GradeTable& table) {
    std::vector<std::size_t> widths(table.header.size(), 0);
    for (std::size_t i = 0; i < widths.size(); ++i) {
        widths[i] = width_of(table.header[i]);
        for (const auto& row : table.rows) {
            widths[i] = std::max(widths[i], width_of(row[i]));
        }
    }
    const auto line = [&widths](const std::vector<std::string>& cells) {
        std::string out;
        for (std::size_t i = 0; i < cells.size(); ++i) {
            out += cells[i];
            if (i + 1 < cells.size()) {
                out += std::string(widths[i] - width_of(cells[i]) + 2, ' ');
            }
        }
        return out + "\n";
    };
    std::string out = table.title + "\n" + line(table.header);
    for (const auto& row : table.rows) {
        out += line(row);
    }
    return table.note.empty() ? out : out + table.note + "\n";
}

std::string to_markdown(const GradeTable& table) {
    const auto line = [](const std::vector<std::string>& cells) {
        std::string out = "|";
        for (const std::string& cell : cells) {
            out += " " + without_bars(cell) + " |";
        }
        return out + "\n";
    };
    std::string out = "**" + table.title + "**\n\n" + line(table.header);
    out += "|";
    for (std::size_t i = 0; i < table.header.size(); ++i) {
        out += " --- |";
    }
    out += "\n";
    for (const auto& row : table.rows) {
        out += line(row);
    }
    return table.note.empty() ? out : out + "\n" + table.note + "\n";
}

std::string value_text(const Figure& figure) {
    if (std::isnan(figure.value)) {
        return "-";
    }
    return fmt::format("{:.{}f} {}", figure.value, digits_of(figure.unit), figure.unit);
}

std::string interval_text(const Figure& figure) {
    if (std::isnan(figure.low) || std::isnan(figure.high)) {
        return "-";
    }
    const int digits = digits_of(figure.unit);
    return fmt::format("{:.{}f} .. {:.{}f}", figure.low, digits, figure.high, digits);
}

std::string figure_text(const Figure& figure) {
    if (figure.count == 0) {
        return "-";
    }
    const int digits = figure.unit == "%" ? 1 : 2;
    std::string out = fmt::format("{:.{}f}{}{}", figure.value, digits, figure.unit.empty() ? "" : " ", figure.unit);
    if (!std::isnan(figure.low) && !std::isnan(figure.high)) {
        out += fmt::format(" ({:.{}f} .. {:.{}f})", figure.low, digits, figure.high, digits);
    }
    return out + fmt::format(", n {}", figure.count);
}

}  // namespace scene
