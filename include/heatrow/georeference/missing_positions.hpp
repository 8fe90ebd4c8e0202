// Where a frame without a logged position was, by the frames before and after it.
#pragma once

#include "heatrow/core/frame_prior.hpp"

#include <Eigen/Core>

#include <optional>
#include <span>

namespace heatrow {

struct FilledPosition {
    Eigen::Vector3d position_in_site{0.0, 0.0, 0.0};
    double u_m = 0.0;  // standard uncertainty of each coordinate: what speed and turning leave open
};

// Along the straight line between the logged positions before and after, at even speed. What that may be wrong by grows
// with the gap and with how much the speeds (as vectors) before, in and after it differ:
// 1/2 x acceleration x time since x time until, the acceleration (own choice) 0.3 m/s2 at least. Beyond the first or
// last logged position the flight is taken to go on for at most 2 s, with 1 m/s2. Nothing where the gap is longer than
// 10 s, there are no neighbours, or more than 2 m are open. Frames of `priors` without a pose are passed over.
std::optional<FilledPosition> position_at(std::span<const FramePrior> priors, UtcTime time);

}  // namespace heatrow
