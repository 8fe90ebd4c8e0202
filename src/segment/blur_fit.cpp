#include "blur_fit.hpp"

#include "heatrow/core/median.hpp"
#include "heatrow/edges/trail_blur.hpp"

#include <Eigen/LU>

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace heatrow::detail {

namespace {

// How far a blurred step up reaches to both sides of its place, m. The trail points against the motion.
struct Reach {
    double below;
    double above;
};

Reach reach_of(double sigma, double trail) {
    constexpr double kSigmas = 6.0;
    constexpr double kTrails = 12.0;  // exp(-12) = 6e-6
    const double sharp = kSigmas * sigma + std::abs(trail);
    const double tail = sharp + kTrails * std::abs(trail);
    return trail > 0.0 ? Reach{tail, sharp} : Reach{sharp, tail};
}

// Mean over a window of a blurred unit step up at `place`. Far from the step the blur need not be asked.
double mean_of_step(const Interval& window, double place, const TrailBlur& blur, const Reach& reach) {
    const double from = window.from - place;
    const double to = window.to - place;
    if (from > reach.above) {
        return 1.0;
    }
    if (to < -reach.below) {
        return 0.0;
    }
    return (blur.ramp(to) - blur.ramp(from)) / (to - from);
}

// How much each step of the line counts in the mean over each window: windows x steps. The first and the last step
// reach to infinity.
Eigen::MatrixXd weights_in_windows(const std::vector<Interval>& windows,
                                   const std::vector<double>& bounds,
                                   double sigma,
                                   double trail) {
    const TrailBlur spread(sigma, trail);
    const Reach reach = reach_of(sigma, trail);
    const Eigen::Index steps = static_cast<Eigen::Index>(bounds.size()) - 1;
    Eigen::MatrixXd weights(static_cast<Eigen::Index>(windows.size()), steps);
    for (Eigen::Index i = 0; i < weights.rows(); ++i) {
        double before = 1.0;
        for (Eigen::Index j = 0; j < steps; ++j) {
            const double beyond =
                j + 1 < steps
                    ? mean_of_step(
                          windows[static_cast<std::size_t>(i)], bounds[static_cast<std::size_t>(j) + 1], spread, reach)
                    : 0.0;
            weights(i, j) = before - beyond;
            before = beyond;
        }
    }
    return weights;
}

// The line in even steps, and what each patch's source gives in each: steps x patches.
HeatLine steps_of(const PatchLine& line, const std::optional<CellSheet>& sheet) {
    const std::size_t patches = line.real.size();
    const std::size_t first = static_cast<std::size_t>(line.first_cell);
    const std::size_t end = first + line.cells.size();
    const std::vector<Interval> glass(line.real.begin() + line.first_cell,
                                      line.real.begin() + static_cast<std::ptrdiff_t>(end));
    HeatLine inner;
    if (sheet) {
        inner = spread_along(glass, *sheet);
    } else {
        for (const Interval& cell : glass) {
            inner.bounds.push_back(cell.from);
        }
        inner.bounds.push_back(glass.back().to);
        const Eigen::Index cells = static_cast<Eigen::Index>(glass.size());
        inner.temperatures = Eigen::MatrixXd::Identity(cells, cells);
    }
    const Eigen::Index inner_steps = inner.temperatures.rows();
    HeatLine all;
    for (std::size_t i = 0; i < first; ++i) {
        all.bounds.push_back(line.real[i].from);
    }
    all.bounds.insert(all.bounds.end(), inner.bounds.begin(), inner.bounds.end());
    for (std::size_t i = end; i < patches; ++i) {
        all.bounds.push_back(line.real[i].to);
    }
    const Eigen::Index before = static_cast<Eigen::Index>(first);
    const Eigen::Index after = static_cast<Eigen::Index>(patches - end);
    all.temperatures = Eigen::MatrixXd::Zero(before + inner_steps + after, static_cast<Eigen::Index>(patches));
    all.temperatures.topLeftCorner(before, before).setIdentity();
    all.temperatures.block(before, before, inner_steps, inner.temperatures.cols()) = inner.temperatures;
    all.temperatures.bottomRightCorner(after, after).setIdentity();
    return all;
}

// Share of each step in each interval: intervals x steps.
Eigen::MatrixXd overlaps(const std::vector<Interval>& intervals, const std::vector<double>& bounds) {
    Eigen::MatrixXd shares(static_cast<Eigen::Index>(intervals.size()), static_cast<Eigen::Index>(bounds.size()) - 1);
    for (Eigen::Index i = 0; i < shares.rows(); ++i) {
        const Interval& whole = intervals[static_cast<std::size_t>(i)];
        for (Eigen::Index j = 0; j < shares.cols(); ++j) {
            const double common = std::min(whole.to, bounds[static_cast<std::size_t>(j) + 1]) -
                                  std::max(whole.from, bounds[static_cast<std::size_t>(j)]);
            shares(i, j) = std::max(0.0, common) / (whole.to - whole.from);
        }
    }
    return shares;
}

// See LineFit::products.
std::vector<Eigen::Matrix3d> products_of(const Eigen::MatrixXd& cell_shares,
                                         const Eigen::MatrixXd& temperatures,
                                         int first_cell) {
    std::vector<Eigen::Matrix3d> products;
    for (Eigen::Index cell = 0; cell < cell_shares.rows(); ++cell) {
        const auto three = temperatures.middleCols(first_cell + cell - 1, 3);
        products.emplace_back(three.transpose() * cell_shares.row(cell).transpose().asDiagonal() * three);
    }
    return products;
}

// Standard deviation inside a cell, of which and of whose neighbours these are the sources and products.
double spread_inside(const Eigen::Matrix3d& sources,
                     double mean,
                     const Eigen::Matrix3d& down,
                     const Eigen::Matrix3d& across) {
    return std::sqrt(std::max(0.0, (down * sources * across).cwiseProduct(sources).sum() - mean * mean));
}

// Of the sampled means of the cells, without what lies around them.
double median_inside(const Eigen::MatrixXd& means, const LineFit& down, const LineFit& across) {
    const Eigen::Index rows = down.cells_from_sources.rows();
    const Eigen::Index columns = across.cells_from_sources.rows();
    std::vector<double> cells;
    for (Eigen::Index column = 0; column < columns; ++column) {
        for (Eigen::Index row = 0; row < rows; ++row) {
            cells.push_back(means((means.rows() - rows) / 2 + row, (means.cols() - columns) / 2 + column));
        }
    }
    return take_median(cells);
}

}  // namespace

double LineFit::noise_growth() const {
    return (cells_from_sources * sources_from_sampled).rowwise().norm().maxCoeff();
}

LineFit fit_line(const PatchLine& line, const LineBlur& blur) {
    std::vector<Interval> windows = line.sampled;
    for (Interval& window : windows) {
        window.from += blur.sampled_shift;
        window.to += blur.sampled_shift;
    }
    const HeatLine steps = steps_of(line, blur.sheet);
    const Eigen::Index patches = static_cast<Eigen::Index>(line.real.size());
    LineFit fit;
    Eigen::MatrixXd all = Eigen::MatrixXd::Zero(patches, patches);
    for (const LineTerm& term : blur.optics) {
        fit.shares.push_back(term.share);
        fit.seen.push_back(weights_in_windows(windows, steps.bounds, term.sigma, blur.trail) * steps.temperatures);
        all += term.share * fit.seen.back();
    }
    const Eigen::FullPivLU<Eigen::MatrixXd> solver(all);
    if (!solver.isInvertible()) {
        return {};
    }
    fit.sources_from_sampled = solver.inverse();
    const Eigen::MatrixXd cell_shares = overlaps(line.cells, steps.bounds);
    fit.cells_from_sources = cell_shares * steps.temperatures;
    if (blur.sheet && line.first_cell > 0) {
        fit.products = products_of(cell_shares, steps.temperatures, line.first_cell);
    }
    return fit;
}

FittedCells fitted_cells(const LineFit& down, const LineFit& across, const Eigen::MatrixXd& means) {
    const auto sources_of = [&](const Eigen::MatrixXd& sampled) -> Eigen::MatrixXd {
        return down.sources_from_sampled * sampled * across.sources_from_sampled.transpose();
    };
    const double level = median_inside(means, down, across);
    const Eigen::MatrixXd above = (means.array() - level).matrix();
    Eigen::MatrixXd sources = sources_of(above);
    if (down.shares.size() > 1) {
        Eigen::MatrixXd left = above;
        for (std::size_t term = 0; term < down.shares.size(); ++term) {
            left -= down.shares[term] * (down.seen[term] * sources * across.seen[term].transpose());
        }
        sources += sources_of(left);
    }
    FittedCells cells;
    cells.means = down.cells_from_sources * sources * across.cells_from_sources.transpose();
    cells.means.array() += level;
    cells.spreads = Eigen::MatrixXd::Zero(cells.means.rows(), cells.means.cols());
    if (!down.products.empty() && !across.products.empty()) {
        const Eigen::Index top = (sources.rows() - cells.means.rows()) / 2 - 1;
        const Eigen::Index left = (sources.cols() - cells.means.cols()) / 2 - 1;
        for (Eigen::Index column = 0; column < cells.means.cols(); ++column) {
            for (Eigen::Index row = 0; row < cells.means.rows(); ++row) {
                cells.spreads(row, column) = spread_inside(sources.block<3, 3>(top + row, left + column),
                                                           cells.means(row, column) - level,
                                                           down.products[static_cast<std::size_t>(row)],
                                                           across.products[static_cast<std::size_t>(column)]);
            }
        }
    }
    return cells;
}

}  // namespace heatrow::detail
