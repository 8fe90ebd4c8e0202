#include "cell_terms.hpp"

#include "camera_optics.hpp"
#include "heatrow/core/uncertain.hpp"
#include "heatrow/edges/point_spread.hpp"
#include "heatrow/segment/sample.hpp"
#include "place_frame.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace heatrow {
namespace {

struct CellSides {
    double across_m;
    double down_m;
};

CellSides cell_sides(const ModuleType& type) {
    return {type.cell_area_width.value() / type.columns, type.cell_area_height.value() / type.rows};
}

// Share of its difference that a cell of this width keeps under a first-order trail of this length.
double kept_under_trail(double trail_px, double width_px) {
    return trail_px > 0.0 ? 1.0 - trail_px / width_px * (1.0 - std::exp(-width_px / trail_px)) : 1.0;
}

// How much of what unlogged motion takes the views still show is not known: taken as evenly likely from none to all.
double unlogged_relative_u(const CellMotion& motion, double across_px, double down_px) {
    if (!(motion.unlogged_px > 0.0)) {
        return 0.0;
    }
    const double side_px = std::sqrt(across_px * down_px);  // its direction is not known: of a square of the same area
    const double logged = std::hypot(motion.across_px, motion.down_px);
    const double lost =
        kept_under_trail(logged, side_px) / kept_under_trail(std::hypot(logged, motion.unlogged_px), side_px) - 1.0;
    return lost / std::sqrt(3.0);
}

}  // namespace

CellMotion motion_in_view(const SurveyInputs& inputs,
                          const FrameOutcome& outcome,
                          const ModuleSlot& slot,
                          const ModuleType& type) {
    const double native_share = inputs.settings.frame_camera().native_share();
    const auto& site = inputs.layout.modules[static_cast<std::size_t>(slot.module)].corners_in_site;
    const Eigen::Vector3d motion = known_camera_motion(inputs, static_cast<std::size_t>(outcome.record.frame));
    const auto along = [&](std::size_t corner) {
        const Eigen::Vector3d side = site[corner] - site[0];
        const double side_px = (slot.corners_px[corner] - slot.corners_px[0]).norm();
        return native_share * side_px * std::abs(motion.dot(side)) / side.squaredNorm();
    };
    CellMotion result;
    result.across_px = along(1);
    result.down_px = along(3);
    result.unlogged_px = native_share * std::sqrt(outcome.unlogged_smear_px2);
    if (inputs.mosaic) {  // how its pictures moved is lost: as far as flown surveys are let to
        result.unlogged_px = std::hypot(result.unlogged_px, inputs.profile.maximum_smear_px.value);
    }
    const CellSides sides = cell_sides(type);
    const double short_px = native_share * slot.cell_short_px;
    const double px_per_m = short_px / std::min(sides.across_m, sides.down_m);
    result.cells = combine_independent(result.across_px / (px_per_m * sides.across_m),
                                       result.down_px / (px_per_m * sides.down_m),
                                       result.unlogged_px / short_px);
    return result;
}

CellMotion mean_motion(std::span<const CellMotion> views) {
    CellMotion mean;
    for (const CellMotion& view : views) {
        const double weight = 1.0 / static_cast<double>(views.size());
        mean.across_px += weight * view.across_px;
        mean.down_px += weight * view.down_px;
        mean.unlogged_px += weight * view.unlogged_px;
        mean.cells += weight * view.cells;
    }
    return mean;
}

double cell_relative_u(const SurveyInputs& inputs,
                       const ModuleType& type,
                       const FusedModule& fused,
                       const CellMotion& motion) {
    const Profile& profile = inputs.profile;
    const Optics optics = optics_of(inputs);
    const CellSides sides = cell_sides(type);
    const double short_px = fused.cell_short_px * optics.frame_px_per_pixel;
    const double px_per_m = short_px / std::min(sides.across_m, sides.down_m);
    const double across_px = px_per_m * sides.across_m;
    const double down_px = px_per_m * sides.down_m;
    double by_width = 0.0;
    double by_trail = 0.0;
    if (optics.blur_sigma_px > 0.0) {
        const std::vector<SpreadTerm> spread = point_spread(optics);
        const double clear_px = kept_clear(short_px, SampleOptions{}.edge_px);
        const auto trailing = [&](double along_px, double beside_px, double motion_px) {
            return loss_by_trail(spread, along_px, beside_px, clear_px, motion_px * optics.frame_px_per_pixel);
        };
        by_width = loss_by_width(spread, across_px, down_px, clear_px);
        by_trail = trailing(across_px, down_px, motion.across_px) + trailing(down_px, across_px, motion.down_px);
    }
    return combine_independent(
        combine_independent(profile.point_spread_u.value * by_width, profile.time_constant_u.value * by_trail),
        unlogged_relative_u(motion, across_px / optics.frame_px_per_pixel, down_px / optics.frame_px_per_pixel),
        profile.size_of_source_u.value,
        profile.cell_heat_u.value);
}

}  // namespace heatrow
