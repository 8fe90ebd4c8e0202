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

// A Gaussian of the point spread, along the line.
struct LineTerm {
    double share;
    double sigma;  // m
};

// What makes patches run into each other, along the line.
struct LineBlur {
    std::vector<LineTerm> optics;
    double trail = 0.0;                             // image motion in a detector time constant, m (TrailBlur)
    double sampled_shift = 0.0;                     // by which all windows were moved, m
    std::optional<CellSheet> sheet = std::nullopt;  // heat between cells; none = cells are even
};

// One axis of a module: how sampled means follow from sources, and back. Patches are taken as even sources: cells warm
// each other through the sheet, the surroundings and the rim do not warm the glass. A sampled mean is a sum of sources
// weighted by heat and blur: the mean over [a, b] of a unit step up at p is (R(b - p) - R(a - p)) / (b - a), R being
// the blur's ramp.
struct LineFit {
    std::vector<double> shares;            // of the terms
    std::vector<Eigen::MatrixXd> seen;     // by each term alone: sampled means x sources
    Eigen::MatrixXd sources_from_sampled;  // of all terms, as if the point spread were the product of two line spreads
    Eigen::MatrixXd cells_from_sources;    // mean over each cell with the spread of heat and without optics
    // Of each cell: means over it of products of what its own source (1) and those beside it (0, 2) give. None: even.
    std::vector<Eigen::Matrix3d> products;

    [[nodiscard]] bool empty() const { return sources_from_sampled.size() == 0; }
    // Factor by which the fit multiplies noise, of the worst cell.
    [[nodiscard]] double noise_growth() const;
};

// Empty where the sources cannot be told apart.
LineFit fit_line(const PatchLine& line, const LineBlur& blur);

// Cells of a module, rows down: their means, and standard deviations inside them by heat that spreads.
struct FittedCells {
    Eigen::MatrixXd means;
    Eigen::MatrixXd spreads;
};

// From the sampled means of all patches of a module, in what optics average: light. Sources are what stands out from
// the median cell: the sun warms gaps too, currents warm wafers alone. Both fits are of the same terms. A round
// Gaussian is the product of two line spreads, a sum of Gaussians is not: what the product of both fits leaves of the
// means, term by term, is fitted once more. Less than 0.3 % of a hot cell's difference is left then.
FittedCells fitted_cells(const LineFit& down, const LineFit& across, const Eigen::MatrixXd& means);

}  // namespace heatrow::detail
