#include "heatrow/core/cell.hpp"

#include <charconv>

namespace heatrow {

std::string to_string(CellIndex cell) {
    return "r" + std::to_string(cell.row + 1) + "c" + std::to_string(cell.column + 1);
}

std::optional<CellIndex> parse_cell(std::string_view text) {
    const auto read_number = [&text](char letter) -> std::optional<int> {
        if (text.empty() || text.front() != letter) {
            return std::nullopt;
        }
        text.remove_prefix(1);
        int number = 0;
        const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
        if (error != std::errc{} || number < 1) {
            return std::nullopt;
        }
        text.remove_prefix(static_cast<std::size_t>(end - text.data()));
        return number - 1;
    };
    const auto row = read_number('r');
    const auto column = row ? read_number('c') : std::nullopt;
    if (!column || !text.empty()) {
        return std::nullopt;
    }
    return CellIndex{*row, *column};
}

}  // namespace heatrow
