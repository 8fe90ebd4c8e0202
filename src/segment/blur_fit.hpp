// Takes what runs into each other out of the means of neighbouring patches.
#pragma once

#include "heat_line.hpp"

#include <Eigen/Core>

#include <optional>
#include <vector>

namespace heatrow::detail {

// Patches in a line along one axis of a module, m: surroundings, cells, surroundings.
struct PatchLine {
    std::vector<Interval> sampled;  // where each is sampled
    std::vector<Interval> real;     // where it lies; the first and the last reach to infinity
    std::vector<Interval> cells;    // of those that are cells, the cell's own extent
    int first_cell = 0;
};

// What makes patches run into each other, along the line.
struct LineBlur {
    double optics_sigma = 0.0;                      // m
    double trail = 0.0;                             // image motion in a detector time constant, m (TrailBlur)
    double sampled_shift = 0.0;                     // by which all windows were moved, m
    std::optional<CellSheet> sheet = std::nullopt;  // heat between cells; none = cells are even
};

// Matrix that turns sampled means of all patches into the mean temperatures of the cells. Patches are taken as even
// sources: cells warm each other through the sheet, the surroundings and the rim do not warm the glass. A sampled mean
// is a sum of sources weighted by heat and blur: the mean over [a, b] of a unit step up at p is
// (R(b - p) - R(a - p)) / (b - a), R being the blur's ramp. Solved for the sources, which then give each cell's mean
// with the spread of heat and without optics.
// Empty where the sources cannot be told apart. The norm of a row is the factor by which the fit multiplies noise.
Eigen::MatrixXd cell_means_from_sampled(const PatchLine& line, const LineBlur& blur);

}  // namespace heatrow::detail
