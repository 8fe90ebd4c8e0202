#include "place_frame.hpp"

#include "camera_optics.hpp"
#include "grid_placement.hpp"
#include "heatrow/georeference/corner_placement.hpp"

#include <chrono>
#include <cmath>

namespace heatrow {
Radians attitude_scatter(const SurveyInputs& inputs) {
    // A map has no attitude: what little is left moves the picture by 5 cm.
    return inputs.mosaic ? Radians(0.05 / Mosaic::kHeight_m) : LockOptions{}.attitude_sd;
}

LockOptions lock_options(const SurveyInputs& inputs, std::size_t i) {
    LockOptions options;
    options.blur_sigma_px = edge_blur_px(inputs);
    options.camera_motion_in_site = known_camera_motion(inputs, i);
    options.measures_motion = inputs.settings.frame_camera().time_constant_ms.has_value() && !inputs.mosaic;
    options.nodata = inputs.settings.temperature.encoding.nodata.value_or(kNaN);
    options.attitude_sd = attitude_scatter(inputs);
    options.position_sd = Metres(std::hypot(options.position_sd.value(), inputs.filled_u_m[i]));
    return options;
}

Eigen::Vector3d camera_motion(const SurveyInputs& inputs, std::size_t i) {
    constexpr std::chrono::seconds kLongestPause{10};
    const std::vector<FramePrior>& frames = inputs.frames.priors;
    const std::optional<double>& time_constant_ms = inputs.settings.frame_camera().time_constant_ms;
    const FramePrior& before = frames[i > 0 ? i - 1 : i];
    const FramePrior& after = frames[i + 1 < frames.size() ? i + 1 : i];
    const std::chrono::duration<double> elapsed = after.time - before.time;
    if (!before.pose || !after.pose || !time_constant_ms || elapsed.count() <= 0.0 || elapsed > kLongestPause) {
        return Eigen::Vector3d::Constant(kNaN);
    }
    return (after.pose->position_in_site - before.pose->position_in_site) *
           (*time_constant_ms / 1000.0 / elapsed.count());
}

Eigen::Vector3d known_camera_motion(const SurveyInputs& inputs, std::size_t i) {
    const Eigen::Vector3d motion = camera_motion(inputs, i);
    return motion.allFinite() ? motion : Eigen::Vector3d::Zero();
}

tl::expected<LockedFrame, Rejection> place_frame(const SurveyInputs& inputs,
                                                 const LayoutIndex& site,
                                                 std::size_t i,
                                                 const FlightAlignment& alignment,
                                                 CountView counts) {
    const FramePrior& prior = inputs.frames.priors[i];
    const LockOptions options = lock_options(inputs, i);
    if (inputs.settings.frames.placement == FrameSettings::Placement::poses) {
        return lock_frame(site, inputs.lens, prior, alignment, counts, options);
    }
    const auto placed = named_inside(site, prior) ? place_by_grid(site, inputs.lens, prior, counts, options)
                                                  : place_by_corner_points(inputs.lens, prior);
    if (!placed) {
        return placed;
    }
    const auto polished = polish_pose(site, inputs.lens, placed->pose, placed->covariance, counts, options);
    // Points picked by hand are good enough where the edges do not carry a lock of their own.
    return polished ? polished : placed;
}

tl::expected<LockedFrame, Rejection> lock_at(const SurveyInputs& inputs,
                                             const LayoutIndex& site,
                                             const SlotRecord& record,
                                             LatticeOffset offset,
                                             CountView counts) {
    constexpr double kPosition_m = 0.1;
    constexpr double kAttitude = 0.005;
    FramePose start = record.pose;
    start.position_in_site += offset.along * site.pitch_along() + offset.across * site.pitch_across();
    Matrix6d covariance = Matrix6d::Zero();
    covariance.diagonal() << Eigen::Vector3d::Constant(kPosition_m * kPosition_m),
        Eigen::Vector3d::Constant(kAttitude * kAttitude);
    const auto i = static_cast<std::size_t>(record.frame);
    return polish_pose(site, inputs.lens, start, covariance, counts, lock_options(inputs, i));
}

}  // namespace heatrow
