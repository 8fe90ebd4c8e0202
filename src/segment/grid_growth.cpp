#include "grid_growth.hpp"

#include "heatrow/core/homography.hpp"
#include "heatrow/core/median.hpp"

#include <Eigen/Geometry>
#include <Eigen/LU>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <set>

namespace heatrow::detail {

namespace {

using Eigen::Matrix2d;
using Eigen::Vector2d;

// Sides 0 top, 1 right, 2 bottom, 3 left.
constexpr std::array<std::pair<int, int>, 4> kSteps{{{-1, 0}, {0, 1}, {1, 0}, {0, -1}}};  // row, column

int axis_of(int side) {
    return side % 2 == 0 ? 1 : 0;
}

// Sign of the step across the side away from the module.
int outward_of(int side) {
    return side == 1 || side == 2 ? 1 : -1;
}

// Of a probe's share along a side: corners are left out, clips and neighbours' ends meet there.
constexpr double kFrom = 0.12;
constexpr double kTo = 0.88;

ProbeOptions probe_options(const GridOptions& options, double reach_px) {
    ProbeOptions probe;
    probe.reach_px = reach_px;
    probe.search_px = reach_px - 1.5;
    // Motion and what the lens's own figure leaves out widen edges; too sharp a model loses them.
    constexpr double kMore_px = 0.35;
    probe.blur_sigma_px = std::hypot(options.blur_sigma_px, kMore_px);
    probe.most_lines = 24;
    probe.nodata = options.nodata;
    probe.levels = true;
    return probe;
}

}  // namespace

GridProbes::GridProbes(CountView picture, const GridOptions& options, double line_sigma_px)
    : counts(picture), reach_px(3.0 + 2.0 * line_sigma_px), prober(picture, probe_options(options, reach_px)) {}

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

// Probes one side of a place in the lattice as a side between modules or as a free side.
GridGrowth::SideFix GridGrowth::probe_side(Cell cell, int side, bool between) {
    SideFix fix;
    const int axis = axis_of(side);
    const int outward = outward_of(side);
    LatticeEdge edge;
    edge.axis = axis;
    edge.inward = between ? 0 : -outward;
    const double line = (axis == 0 ? cell.second : cell.first) + (outward > 0 ? 1 : 0);
    const double along_from = axis == 0 ? cell.first : cell.second;
    const auto at = [&](double share) {
        edge.in_lattice[axis] = line;
        edge.in_lattice[1 - axis] = along_from + share;
        return model_.pixel(place_of(model_, edge));
    };
    // The part of the side that the picture shows, with room for the profile.
    constexpr int kPoints = 24;
    const double margin = probes_.reach_px + 1.0;
    int first = -1;
    int last = -1;
    for (int i = 0; i <= kPoints; ++i) {
        const auto pixel = at(kFrom + (kTo - kFrom) * i / kPoints);
        if (pixel && pixel->x() >= margin && pixel->y() >= margin && pixel->x() <= counts_.width() - 1 - margin &&
            pixel->y() <= counts_.height() - 1 - margin) {
            first = first < 0 ? i : first;
            last = i;
        }
    }
    if (first < 0 || last - first < kPoints / 3) {
        return fix;
    }
    const double from = kFrom + (kTo - kFrom) * first / kPoints;
    const double to = kFrom + (kTo - kFrom) * last / kPoints;
    const double length_px = (*at(to) - *at(from)).norm();
    constexpr double kShortest_px = 5.0;
    if (length_px < kShortest_px) {
        return fix;
    }
    constexpr double kStrip_px = 30.0;
    fix.strips = std::clamp(static_cast<int>(length_px / kStrip_px) + 1, 2, 6);
    double strips_found = 0.0;
    for (int strip = 0; strip < fix.strips; ++strip) {
        const double a = from + (to - from) * strip / fix.strips;
        const double b = from + (to - from) * (strip + 1) / fix.strips;
        const auto start_px = at(a);
        const auto end_px = at(b);
        const auto middle_px = at(0.5 * (a + b));
        if (!start_px || !end_px || !middle_px) {
            continue;
        }
        const auto scale = model_.pixel_by_lattice(place_of(model_, edge));
        if (!scale) {
            continue;
        }
        const Vector2d along = (*end_px - *start_px).normalized();
        Vector2d normal(along.y(), -along.x());
        if (normal.dot(scale->col(axis)) * outward < 0.0) {
            normal = -normal;
        }
        BandLine band;
        band.middle = *middle_px;
        band.normal = normal;
        band.half_length_px = 0.5 * (*end_px - *start_px).norm();
        const double pitch_px = std::abs(normal.dot(scale->col(axis)));
        band.band_width_px = (between ? band_between_ : band_free_)[static_cast<std::size_t>(axis)] * pitch_px;
        band.glass_beyond = between;
        const auto found = probes_.prober.probe(band);
        if (!found) {
            continue;
        }
        const double depth = (dark_ ? 1.0 : -1.0) * (found->inner - found->band);
        if (!(depth > 0.0)) {
            continue;
        }
        ++fix.found;
        strips_found += 1.0;
        fix.depth += depth;
        fix.shift += found->offset_px;
        fix.gain += found->gain;
        fix.inside += found->inner;
        edge.normal = normal;
        edge.offset_px = found->offset_px;
        edge.sd_px = found->sd_px;
        fix.edges.push_back(edge);
    }
    if (fix.found > 0) {
        fix.depth /= strips_found;
        fix.shift /= strips_found;
        fix.inside /= strips_found;
    }
    return fix;
}

GridGrowth::SideFix GridGrowth::best_side(Cell cell, int side) {
    const auto& step = kSteps[static_cast<std::size_t>(side)];
    const Cell beyond{cell.first + step.first, cell.second + step.second};
    if (has(beyond)) {
        return probe_side(cell, side, true);
    }
    SideFix free = probe_side(cell, side, false);
    if (has(cell)) {
        return free;
    }
    SideFix between = probe_side(cell, side, true);
    return between.gain > free.gain ? between : free;
}

GridGrowth::Sides GridGrowth::look_at(Cell cell) {
    Sides sides;
    for (int side = 0; side < 4; ++side) {
        const SideFix fix = best_side(cell, side);
        if (fix.strips == 0) {
            continue;
        }
        ++sides.seen;
        constexpr double kLeastDepth = 0.25;  // of the usual (own choice)
        const bool found = 2 * fix.found >= fix.strips && fix.depth >= kLeastDepth * depth_;
        sides.found += found ? 1 : 0;
        const auto& step = kSteps[static_cast<std::size_t>(side)];
        if (found && has({cell.first + step.first, cell.second + step.second})) {
            const int axis = axis_of(side);
            const auto scale = model_.pixel_by_lattice({cell.second + 0.5, cell.first + 0.5});
            const double inset_px =
                scale ? model_.inset[static_cast<std::size_t>(axis)] * scale->col(axis).norm() : 0.0;
            constexpr double kTold_px = 0.2;
            if (inset_px > kTold_px) {
                sides.towards += fix.shift / inset_px;
                ++sides.shared;
            }
        }
    }
    if (sides.shared > 0) {
        sides.towards /= sides.shared;
    }
    return sides;
}

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

// Texture makes grids too, of which a side is missing here and there.
bool GridGrowth::convincing() const {
    int seen = 0;
    int found = 0;
    for (const auto& [cell, sides] : modules_) {
        seen += sides.seen;
        found += sides.found;
    }
    constexpr double kLeastShare = 0.86;
    constexpr double kLargestRms_px = 0.45;
    return found >= kLeastShare * seen && step_->rms_px <= kLargestRms_px * std::max(1.0, probes_.reach_px / 5.0);
}

void GridGrowth::find_depth() {
    std::vector<double> depths;
    for (const auto& [cell, sides] : modules_) {
        for (int side = 1; side <= 2; ++side) {
            const auto& step = kSteps[static_cast<std::size_t>(side)];
            if (has({cell.first + step.first, cell.second + step.second})) {
                const SideFix fix = probe_side(cell, side, true);
                if (fix.found > 0) {
                    depths.push_back(fix.depth);
                }
            }
        }
    }
    depth_ = depths.empty() ? 0.0 : take_median(depths);
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
        if (holds_module(sides) && !gap) {
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
