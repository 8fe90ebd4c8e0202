// The four sides of a place in a lattice and the steps across them.
#pragma once

#include <array>
#include <cstddef>
#include <utility>

namespace heatrow::detail {

// Sides 0 top, 1 right, 2 bottom, 3 left.
inline constexpr std::array<std::pair<int, int>, 4> kSteps{{{-1, 0}, {0, 1}, {1, 0}, {0, -1}}};  // row, column

inline int axis_of(int side) {
    return side % 2 == 0 ? 1 : 0;
}

// Sign of the step across the side away from the module.
inline int outward_of(int side) {
    return side == 1 || side == 2 ? 1 : -1;
}

}  // namespace heatrow::detail
