#include "grid_growth.hpp"

#include "heatrow/core/homography.hpp"
#include "heatrow/core/median.hpp"
#include "lattice_steps.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <set>

namespace heatrow::detail {

using Eigen::Vector2d;

GridGrowth::GridGrowth(const GridOptions& options, bool dark_lines, GridProbes& probes)
    : probes_(probes), counts_(probes.counts), options_(options), dark_(dark_lines) {
    if (options.lens) {
        model_.lens = *options.lens;
    } else {
        model_.lens_is_free = true;
        model_.lens.width_px = counts_.width();
        model_.lens.height_px = counts_.height();
        model_.lens.focal_px = counts_.width();
        model_.lens.principal_point_px = 0.5 * Vector2d(counts_.width() - 1, counts_.height() - 1);
    }
}

bool GridGrowth::start(const LatticeSeed& seed) {
    std::vector<Vector2d> in_lattice;
    std::vector<Vector2d> in_pinhole;
    const auto collect = [&](const std::vector<bool>& used) {
        in_lattice.clear();
        in_pinhole.clear();
        for (std::size_t i = 0; i < seed.size(); ++i) {
            if (!used[i]) {
                continue;
            }
            for (std::size_t k = 0; k < 4; ++k) {
                in_lattice.emplace_back(seed[i].column + (k == 1 || k == 2 ? 1 : 0), seed[i].row + (k >= 2 ? 1 : 0));
                in_pinhole.push_back(ray_in_camera(model_.lens, seed[i].corners_px[k]).hnormalized());
            }
        }
    };
    std::vector<bool> used(seed.size(), true);
    constexpr int kRounds = 4;
    for (int round = 0; round < kRounds; ++round) {
        collect(used);
        const auto map = homography(in_lattice, in_pinhole);
        if (!map) {
            return false;
        }
        model_.pinhole_from_lattice = *map;
        // The lattice lies in front of the camera.
        const Vector2d middle(seed.front().column + 0.5, seed.front().row + 0.5);
        if ((*map * middle.homogeneous()).z() < 0.0) {
            model_.pinhole_from_lattice = -*map;
        }
        std::vector<double> misses(seed.size(), std::numeric_limits<double>::infinity());
        for (std::size_t i = 0; i < seed.size(); ++i) {
            double worst = 0.0;
            for (std::size_t k = 0; k < 4; ++k) {
                const auto pixel =
                    model_.pixel({seed[i].column + (k == 1 || k == 2 ? 1 : 0), seed[i].row + (k >= 2 ? 1 : 0)});
                worst = std::max(worst, pixel ? (*pixel - seed[i].corners_px[k]).norm() : 1e9);
            }
            misses[i] = worst;
        }
        // Free lenses bend lines; the fit to edges takes that up.
        const double allowed = std::max(model_.lens_is_free ? 6.0 : 2.5, 3.0 * median_of(misses));
        for (std::size_t i = 0; i < seed.size(); ++i) {
            used[i] = misses[i] <= allowed;
        }
    }
    modules_.clear();
    for (std::size_t i = 0; i < seed.size(); ++i) {
        if (used[i]) {
            modules_[{seed[i].row, seed[i].column}] = {};
        }
    }
    return static_cast<int>(modules_.size()) >= options_.least_modules;
}

// Texture makes grids too, of which a side is missing here and there. Where the ground is as dark as the rims, free
// sides do not stand out; then all that lies between modules must.
bool GridGrowth::convincing() const {
    int seen = 0;
    int found = 0;
    int inner_seen = 0;
    int inner_found = 0;
    for (const auto& [cell, sides] : modules_) {
        seen += sides.seen;
        found += sides.found;
        inner_seen += sides.inner_seen;
        inner_found += sides.inner_found;
    }
    constexpr double kLeastShare = 0.86;
    constexpr double kLeastInner = 0.97;
    constexpr int kLeastInnerSides = 16;  // each line between two modules counts twice
    constexpr double kLargestRms_px = 0.45;
    const bool shown =
        found >= kLeastShare * seen || (inner_seen >= kLeastInnerSides && inner_found >= kLeastInner * inner_seen);
    return shown && step_->rms_px <= kLargestRms_px * std::max(1.0, probes_.reach_px / 5.0);
}

bool GridGrowth::holds_module(const Sides& sides) const {
    constexpr int kLeastSides = 3;
    return sides.seen >= kLeastSides && sides.found >= kLeastSides && sides.found >= sides.seen - 1;
}

double GridGrowth::level_of(Cell cell) const {
    std::vector<double> values;
    constexpr int kPoints = 7;
    for (int i = 0; i < kPoints; ++i) {
        for (int j = 0; j < kPoints; ++j) {
            const auto pixel =
                model_.pixel({cell.second + 0.2 + 0.6 * i / (kPoints - 1), cell.first + 0.2 + 0.6 * j / (kPoints - 1)});
            if (pixel) {
                const int x = static_cast<int>(std::lround(pixel->x()));
                const int y = static_cast<int>(std::lround(pixel->y()));
                if (counts_.contains(x, y)) {
                    values.push_back(static_cast<double>(counts_(x, y)));
                }
            }
        }
    }
    return take_median(values);
}

// Glass is as warm as other glass; ground between modules mostly is not.
bool GridGrowth::usual_level(Cell cell) const {
    std::vector<double> levels;
    for (const auto& [other, sides] : modules_) {
        if (other != cell) {
            levels.push_back(level_of(other));
        }
    }
    const double middle = median_of(levels);
    const double spread = robust_sigma(levels);
    constexpr double kUsual = 5.0;
    return std::abs(level_of(cell) - middle) <= kUsual * spread;
}

void GridGrowth::verify() {
    for (auto it = modules_.begin(); it != modules_.end();) {
        const Sides sides = look_at(it->first);
        constexpr double kHalfTowards = 0.5;
        const bool gap = sides.shared >= 2 && sides.towards > kHalfTowards && !usual_level(it->first);
        if (holds_module(sides) && !gap) {
            it->second = sides;
            ++it;
        } else {
            it = modules_.erase(it);
        }
    }
}

bool GridGrowth::touches(Cell cell) const {
    return std::any_of(kSteps.begin(), kSteps.end(), [&](const auto& step) {
        return has({cell.first + step.first, cell.second + step.second});
    });
}

// Beyond an empty place the lattice goes on only if what is there stands where it would: a gap between two tables that
// is nearly as wide as a module is no column without modules.
bool GridGrowth::extend() {
    std::set<Cell> candidates;
    for (const auto& [cell, sides] : modules_) {
        for (int far = 1; far <= 2; ++far) {
            for (const auto& step : kSteps) {
                const Cell next{cell.first + far * step.first, cell.second + far * step.second};
                if (!has(next)) {
                    candidates.insert(next);
                }
            }
        }
    }
    std::vector<std::pair<Cell, Sides>> added;
    for (const Cell& cell : candidates) {
        const Sides sides = look_at(cell);
        constexpr double kHalfTowards = 0.5;
        const bool gap = sides.shared >= 1 && sides.towards > kHalfTowards && !usual_level(cell);
        constexpr double kOff_px = 1.0;
        const bool elsewhere = !touches(cell) && sides.across_px > kOff_px;
        if (holds_module(sides) && !gap && !elsewhere) {
            added.emplace_back(cell, sides);
        }
    }
    for (const auto& [cell, sides] : added) {
        modules_[cell] = sides;
    }
    return !added.empty();
}

std::optional<ModuleGrid> GridGrowth::grow(const LatticeSeed& seed) {
    if (!start(seed) || !choose_bands() || !fit(6) || !choose_bands() || !fit(3)) {
        return std::nullopt;
    }
    find_depth();
    if (!(depth_ > 0.0)) {
        return std::nullopt;
    }
    const std::size_t before = modules_.size();
    verify();
    constexpr double kLeastTrue = 0.6;  // of the patches
    if (static_cast<double>(modules_.size()) < kLeastTrue * static_cast<double>(before) || modules_.empty()) {
        return std::nullopt;
    }
    constexpr int kMostRounds = 40;
    for (int round = 0; round < kMostRounds && extend(); ++round) {
        if (!fit(2)) {
            return std::nullopt;
        }
    }
    verify();
    if (static_cast<int>(modules_.size()) < options_.least_modules || !fit(4) || !convincing() || !find_shape() ||
        !settle_insets()) {
        return std::nullopt;
    }
    return result();
}

std::optional<ModuleGrid> GridGrowth::result() const {
    ModuleGrid grid;
    grid.dark_lines = dark_;
    grid.lens = model_.lens;
    grid.rms_px = step_->rms_px;
    grid.edges_used = static_cast<int>(edges_.size());
    grid.line_height = depth_;
    int first_row = modules_.begin()->first.first;
    int last_row = first_row;
    int first_column = modules_.begin()->first.second;
    int last_column = first_column;
    for (const auto& [cell, sides] : modules_) {
        first_row = std::min(first_row, cell.first);
        last_row = std::max(last_row, cell.first);
        first_column = std::min(first_column, cell.second);
        last_column = std::max(last_column, cell.second);
    }
    grid.columns = last_column - first_column + 1;
    grid.rows = last_row - first_row + 1;
    const Vector2d origin(first_column, first_row);
    Eigen::Matrix3d move = Eigen::Matrix3d::Identity();
    move.topRightCorner<2, 1>() = origin;
    grid.pinhole_from_lattice = model_.pinhole_from_lattice * move;

    if (options_.lens) {
        grid.pitch_aspect = pitch_aspect();
    }
    grid.shape = shape_;
    grid.shape_lies = shape_lies_;
    // Half of the visible rim of a free side lies outside its band's middle; of the gap, half on each side of the line.
    std::array<double, 2> half_gap;
    for (std::size_t axis = 0; axis < 2; ++axis) {
        half_gap[axis] = model_.inset[axis] - 0.5 * rim_[axis];
        grid.gap_share[axis] = std::max(0.0, 2.0 * half_gap[axis]);
    }
    for (const auto& [cell, sides] : modules_) {
        GridModule module;
        module.column = cell.second - first_column;
        module.row = cell.first - first_row;
        module.sides_seen = sides.seen;
        module.sides_found = sides.found;
        module.whole = true;
        for (std::size_t k = 0; k < 4; ++k) {
            const bool right = k == 1 || k == 2;
            const bool low = k >= 2;
            const Vector2d in_lattice(cell.second + (right ? 1.0 - half_gap[0] : half_gap[0]),
                                      cell.first + (low ? 1.0 - half_gap[1] : half_gap[1]));
            const auto pixel = model_.pixel(in_lattice);
            if (!pixel) {
                return std::nullopt;
            }
            module.corners_px[k] = *pixel;
            module.whole = module.whole && inside_picture(model_.lens, *pixel);
            module.corner_sd_px = std::max(module.corner_sd_px, pixel_sd(model_, *step_, in_lattice));
        }
        grid.modules.push_back(module);
    }
    for (int row = 0; row < grid.rows; ++row) {
        for (int column = 0; column < grid.columns; ++column) {
            const Cell cell{row + first_row, column + first_column};
            if (has(cell)) {
                continue;
            }
            int around = 0;
            for (const auto& step : kSteps) {
                around += has({cell.first + step.first, cell.second + step.second}) ? 1 : 0;
            }
            constexpr int kEnclosed = 3;
            if (around >= kEnclosed) {
                grid.holes.push_back({column, row});
            }
        }
    }
    return grid;
}

}  // namespace heatrow::detail
