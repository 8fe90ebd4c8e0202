// What the picture shows at the sides of places in the lattice.
#include "grid_growth.hpp"
#include "heatrow/core/median.hpp"
#include "lattice_steps.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace heatrow::detail {

namespace {

using Eigen::Vector2d;

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
    std::array<double, 2> shift_px{0.0, 0.0};  // along x and y, sums of sides found
    std::array<int, 2> shifted{0, 0};
    for (int side = 0; side < 4; ++side) {
        const SideFix fix = best_side(cell, side);
        if (fix.strips == 0) {
            continue;
        }
        ++sides.seen;
        constexpr double kLeastDepth = 0.25;  // of the usual (own choice)
        const bool found = 2 * fix.found >= fix.strips && fix.depth >= kLeastDepth * depth_;
        sides.found += found ? 1 : 0;
        if (found) {
            const auto axis = static_cast<std::size_t>(axis_of(side));
            shift_px[axis] += outward_of(side) * fix.shift;
            ++shifted[axis];
        }
        const auto& step = kSteps[static_cast<std::size_t>(side)];
        const bool inner = has({cell.first + step.first, cell.second + step.second});
        sides.inner_seen += inner ? 1 : 0;
        sides.inner_found += inner && found ? 1 : 0;
        if (found && inner) {
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
    for (std::size_t axis = 0; axis < 2; ++axis) {
        if (shifted[axis] > 0) {
            sides.across_px = std::max(sides.across_px, std::abs(shift_px[axis]) / shifted[axis]);
        }
    }
    return sides;
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

}  // namespace heatrow::detail
