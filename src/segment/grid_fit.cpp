// The lattice fitted to the sides that were found: bands, map, insets, shape.
#include "grid_growth.hpp"
#include "heatrow/core/median.hpp"
#include "lattice_steps.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace heatrow::detail {

// Median over the modules, px; NaN without any.
double GridGrowth::pitch_along(int axis) const {
    std::vector<double> pitches;
    for (const auto& [cell, sides] : modules_) {
        if (const auto scale = model_.pixel_by_lattice({cell.second + 0.5, cell.first + 0.5})) {
            pitches.push_back(scale->col(axis).norm());
        }
    }
    return take_median(pitches);
}

// Widths of the bands along either axis: those that explain the profiles best.
bool GridGrowth::choose_bands() {
    for (int axis = 0; axis < 2; ++axis) {
        const auto index = static_cast<std::size_t>(axis);
        const double pitch = pitch_along(axis);
        if (!(pitch > 0.0)) {
            return false;
        }
        constexpr std::array<double, 9> kWidths_px{0.4, 0.8, 1.3, 2.0, 2.8, 4.0, 5.5, 7.5, 10.0};
        for (const bool between : {true, false}) {
            auto& width = (between ? band_between_ : band_free_)[index];
            double best = 0.0;
            double most = -1.0;
            for (const double candidate : kWidths_px) {
                if (candidate > 0.8 * probes_.reach_px || candidate > 0.25 * pitch) {
                    continue;
                }
                width = candidate / pitch;
                double gain = 0.0;
                for (const auto& [cell, sides] : modules_) {
                    for (int side = 0; side < 4; ++side) {
                        const auto& step = kSteps[static_cast<std::size_t>(side)];
                        if (axis_of(side) == axis &&
                            has({cell.first + step.first, cell.second + step.second}) == between) {
                            gain += probe_side(cell, side, between).gain;
                        }
                    }
                }
                if (gain > most) {
                    most = gain;
                    best = width;
                }
            }
            width = best;
        }
        if (step_ == std::nullopt) {
            model_.inset[index] = std::max(0.0, 0.5 * (band_between_[index] - band_free_[index]));
        }
    }
    return true;
}

bool GridGrowth::fit(int rounds) {
    for (int round = 0; round < rounds; ++round) {
        edges_.clear();
        for (const auto& [cell, sides] : modules_) {
            for (int side = 0; side < 4; ++side) {
                const auto& step = kSteps[static_cast<std::size_t>(side)];
                const bool between = has({cell.first + step.first, cell.second + step.second});
                if (between && (side == 0 || side == 3)) {
                    continue;  // the neighbour's side
                }
                SideFix fix = probe_side(cell, side, between);
                edges_.insert(edges_.end(), fix.edges.begin(), fix.edges.end());
            }
        }
        step_ = improve(model_, edges_);
        if (!step_) {
            return false;
        }
        share_inset();
        constexpr double kStill_px = 0.02;
        if (step_->moved_px < kStill_px) {
            break;
        }
    }
    return true;
}

// A direction with one line between modules does not tell its inset: gaps are taken as wide as in the other one.
void GridGrowth::share_inset() {
    if (!model_.insets_are_free) {
        return;
    }
    const double aspect = pitch_aspect();
    const bool x = tells_inset(edges_, 0);
    const bool y = tells_inset(edges_, 1);
    if (x && !y) {
        model_.inset[1] = model_.inset[0] * aspect;
    } else if (y && !x) {
        model_.inset[0] = model_.inset[1] / aspect;
    }
}

double GridGrowth::pitch_aspect() const {
    if (options_.lens) {
        // In pinhole coordinates the first two columns are the steps of the lattice in the camera frame, up to one
        // scale.
        return model_.pinhole_from_lattice.col(0).norm() / model_.pinhole_from_lattice.col(1).norm();
    }
    const Cell middle = std::next(modules_.begin(), static_cast<std::ptrdiff_t>(modules_.size() / 2))->first;
    const auto scale = model_.pixel_by_lattice({middle.second + 0.5, middle.first + 0.5});
    return scale ? scale->col(0).norm() / scale->col(1).norm() : 1.0;
}

// Whether the lattice's steps fit a module: a given shape, or any usual one. Sets the rims.
bool GridGrowth::find_shape() {
    const double aspect = pitch_aspect();
    // Rim over the short side where no type tells: 11 mm over 1.05 m (common practice, no source).
    constexpr double kUsualRim = 0.0105;
    rim_ = aspect < 1.0 ? std::array<double, 2>{kUsualRim, kUsualRim * aspect}
                        : std::array<double, 2>{kUsualRim / aspect, kUsualRim};
    if (!options_.lens) {
        return true;
    }
    const Eigen::Matrix3d& h = model_.pinhole_from_lattice;
    constexpr double kRightAngle = 0.12;  // cosine allowed
    if (std::abs(h.col(0).normalized().dot(h.col(1).normalized())) > kRightAngle) {
        return false;
    }
    if (options_.shapes.empty()) {
        const double long_over_short = std::max(aspect, 1.0 / aspect);
        return long_over_short >= options_.least_aspect && long_over_short <= options_.largest_aspect;
    }
    double nearest = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < options_.shapes.size(); ++i) {
        const ModuleShape& shape = options_.shapes[i];
        for (const bool lies : {false, true}) {
            const double width = (lies ? shape.height : shape.width).value();
            const double height = (lies ? shape.width : shape.height).value();
            const double off = std::abs(std::log(aspect * height / width));
            if (off < nearest) {
                nearest = off;
                shape_ = static_cast<int>(i);
                shape_lies_ = lies;
                rim_ = {shape.frame_width.value() / width, shape.frame_width.value() / height};
            }
        }
    }
    return nearest <= options_.aspect_tolerance;
}

// Insets from three sources, each with its uncertainty: where the free sides lie; what is usual; and, of a known shape
// seen through a known lens, the gap that turns its ratio of sides into that of the pitches. Then they stand.
bool GridGrowth::settle_insets() {
    const double aspect = pitch_aspect();
    // Gap and rim together: 31 mm over 1.05 m, give or take 12 mm (common practice, no source).
    constexpr double kUsual = 0.0148;
    constexpr double kUsualSd = 0.006;
    for (int axis = 0; axis < 2; ++axis) {
        const auto index = static_cast<std::size_t>(axis);
        const double pitch_px = pitch_along(axis);
        const double own_over_short = axis == 0 ? std::max(1.0, aspect) : std::max(1.0, 1.0 / aspect);
        double weight = std::pow(kUsualSd / own_over_short, -2);
        double sum = weight * kUsual / own_over_short;
        if (tells_inset(edges_, 0) || tells_inset(edges_, 1)) {
            constexpr double kMeasuredSd_px = 0.5;  // where the ground is as dark as the rim
            const double measured = std::pow(kMeasuredSd_px / pitch_px, -2);
            sum += measured * model_.inset[index];
            weight += measured;
        }
        if (shape_) {
            const ModuleShape& shape = options_.shapes[static_cast<std::size_t>(*shape_)];
            const double width = (shape_lies_ ? shape.height : shape.width).value();
            const double height = (shape_lies_ ? shape.width : shape.height).value();
            // (width + gap) / (height + gap) = aspect
            constexpr double kAspectSd = 0.004;  // as measured on rendered scenes
            const double gap = (width - aspect * height) / (aspect - 1.0);
            const double gap_sd = std::max(height, width) * kAspectSd / std::abs(aspect - 1.0);
            const double pitch = (axis == 0 ? width : height) + std::max(0.0, gap);
            const double told = std::pow(0.5 * gap_sd / pitch, -2);
            sum += told * 0.5 * (std::max(0.0, gap) + shape.frame_width.value()) / pitch;
            weight += told;
        }
        model_.inset[index] = sum / weight;
    }
    model_.insets_are_free = false;
    return fit(3);
}

}  // namespace heatrow::detail
