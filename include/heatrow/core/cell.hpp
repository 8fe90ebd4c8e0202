// A cell's place in its module.
#pragma once

#include <compare>
#include <optional>
#include <string>
#include <string_view>

namespace heatrow {

// Row and column from zero inside the program; written "r<row>c<column>" from one. Seen from the front; row 1 lies at
// the edge that the module type calls `top`, column 1 at the left with `top` up.
struct CellIndex {
    int row = 0;
    int column = 0;
    friend auto operator<=>(CellIndex, CellIndex) = default;
};

std::string to_string(CellIndex cell);
// "r3c4"; nothing if the text is not a cell name.
std::optional<CellIndex> parse_cell(std::string_view text);

}  // namespace heatrow
