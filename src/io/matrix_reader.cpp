#include "matrix_reader.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/io/text_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string_view>

namespace heatrow::detail {
namespace {

constexpr std::size_t kLeastSide = 2;

tl::unexpected<Rejection> unreadable(std::string why) {
    return tl::unexpected(Rejection{
        RejectReason::unreadable,
        std::move(why) +
            ". A matrix of temperatures has rows of equally many numbers, with lines of words only above it"});
}

bool is_missing(std::string_view text) {
    return text.empty() || text == "NaN" || text == "nan" || text == "NAN" || text == "---";
}

std::optional<double> value_of(const TextTable& table, std::string_view text) {
    return is_missing(text) ? std::optional(kNaN) : table.number(text);
}

// Rows may end with one delimiter too many, which reads as an empty last cell.
std::size_t width_of(const TextRow& row) {
    std::size_t width = row.cells.size();
    return width > kLeastSide && row.cells.back().empty() ? width - 1 : width;
}

bool is_number_row(const TextTable& table, const TextRow& row) {
    const auto is_value = [&](const std::string& text) { return value_of(table, text).has_value(); };
    const auto is_number = [&](const std::string& text) { return table.number(text).has_value(); };
    return row.cells.size() >= kLeastSide && std::all_of(row.cells.begin(), row.cells.end(), is_value) &&
           std::any_of(row.cells.begin(), row.cells.end(), is_number);
}

tl::expected<FrameCounts, Rejection> fill(const TextTable& table, std::span<const TextRow*> rows) {
    const std::size_t width = width_of(*rows.front());
    FrameCounts frame;
    frame.counts = Image<float>(static_cast<int>(width), static_cast<int>(rows.size()));
    frame.bits = 32;
    frame.is_float = true;
    frame.is_signed = true;
    frame.kind = fmt::format("matrix of numbers, {}", describe(table.dialect));
    for (std::size_t y = 0; y < rows.size(); ++y) {
        const TextRow& row = *rows[y];
        if (width_of(row) != width) {
            return unreadable(
                fmt::format("line {} has {} cells, the lines above have {}", row.line, width_of(row), width));
        }
        for (std::size_t x = 0; x < width; ++x) {
            const auto value = value_of(table, row.cells[x]);
            if (!value) {
                return unreadable(
                    fmt::format("line {}, cell {}: '{:.40}' is no number", row.line, x + 1, row.cells[x]));
            }
            frame.counts.view()(static_cast<int>(x), static_cast<int>(y)) = static_cast<float>(*value);
        }
    }
    return frame;
}

}  // namespace

bool looks_like_text(std::span<const std::uint8_t> bytes) {
    const auto begin = bytes.first(std::min<std::size_t>(bytes.size(), 4096));
    // A binary grey or colour map whose counts happen to be printable, as 30000 is ("u0").
    if (begin.size() >= 3 && begin[0] == 'P' && (begin[1] == '5' || begin[1] == '6') && begin[2] <= ' ') {
        return false;
    }
    const bool utf16 =
        begin.size() >= 2 && ((begin[0] == 0xFF && begin[1] == 0xFE) || (begin[0] == 0xFE && begin[1] == 0xFF));
    return !begin.empty() && (utf16 || std::none_of(begin.begin(), begin.end(), [](std::uint8_t byte) {
                                  return byte < 9 || (byte > 13 && byte < 32);
                              }));
}

tl::expected<FrameCounts, Rejection> read_matrix(std::span<const std::uint8_t> bytes, const std::string& name) {
    TextTable table;
    try {
        table = parse_text_table({reinterpret_cast<const char*>(bytes.data()), bytes.size()}, name);
    } catch (const Error& problem) {
        return unreadable(problem.what());
    }
    std::vector<const TextRow*> rows{&table.header};
    for (const TextRow& row : table.rows) {
        rows.push_back(&row);
    }
    const auto is_numbers = [&](const TextRow* row) { return is_number_row(table, *row); };
    const auto first = std::find_if(rows.begin(), rows.end(), is_numbers);
    const auto count = static_cast<std::size_t>(rows.end() - first);
    if (count < kLeastSide) {
        return unreadable("it holds no matrix of numbers");
    }
    return fill(table, std::span(rows).last(count));
}

}  // namespace heatrow::detail
