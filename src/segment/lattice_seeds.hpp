// Patches that share sides, with their places in a lattice.
#pragma once

#include <Eigen/Core>

#include <array>
#include <span>
#include <vector>

namespace heatrow::detail {

struct PlacedPatch {
    int column = 0;
    int row = 0;
    // Lattice corners (column, row), (column + 1, row), (column + 1, row + 1), (column, row + 1), px.
    std::array<Eigen::Vector2d, 4> corners_px;
};

using LatticeSeed = std::vector<PlacedPatch>;

// Groups of at least `least` patches, largest area first. Columns grow to the right of the picture, rows downwards.
std::vector<LatticeSeed> lattice_seeds(std::span<const std::array<Eigen::Vector2d, 4>> patches, std::size_t least);

}  // namespace heatrow::detail
