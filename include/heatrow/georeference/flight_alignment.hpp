// What one flight's logged positions have in common: a constant bias, found on a few scout frames.
#pragma once

#include "heatrow/camera/lens.hpp"
#include "heatrow/core/frame_prior.hpp"
#include "heatrow/core/image.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/site/layout_index.hpp"

#include <Eigen/Core>

#include <span>
#include <vector>

namespace heatrow {

struct AlignmentOptions {
    Metres search_horizontal{3.0};  // the bias lies within this distance
    Metres search_vertical{1.0};
    Metres position_sd{0.2};             // of a logged position about the common bias
    Radians attitude_sd = degrees(0.3);  // of logged yaw, pitch and roll
    double blur_sigma_px = 0.6;          // of optics and pixel together
    double nodata = kNaN;                // count that means no data; NaN = none
    // Share of frames that may show something else than the layout (own choice): caps the vote of one frame.
    double outlier_share = 0.01;
};

struct ScoutFrame {
    const FramePrior* prior = nullptr;
    CountView counts;
    Eigen::Vector3d camera_motion_in_site{0.0, 0.0, 0.0};  // as LockOptions
};

struct FlightAlignment {
    Eigen::Vector3d position_correction_in_site{0.0, 0.0, 0.0};  // m, add it to a logged position
    Eigen::Vector3d correction_sd{0.0, 0.0, 0.0};                // m
    // Natural log of how much more probable the scout frames make this placement than the best other one inside the
    // search that differs by about a module or more. Near zero where rows look alike and no end is in view.
    double margin = 0.0;
    int frames_used = 0;         // scout frames with a pose that see modules
    int frames_locked = 0;       // of these, locked on their edges; they give the last centimetres
    bool modules_warmer = true;  // than what surrounds them
};

// Every frame votes for the image shifts under which the layout explains it (module area against the rest, whatever is
// the warmer), blurred by the scatter of logged poses and capped; votes are summed over frames. Then the scout frames
// are locked on their edges and their median gives the rest.
// Frames without pose, or that see no module at any place searched, do not vote. No votes: margin 0.
FlightAlignment align_flight(const LayoutIndex& site,
                             const Lens& lens,
                             std::span<const ScoutFrame> frames,
                             const AlignmentOptions& options = {});

struct ScoutOptions {
    int at_least = 24;    // as many frames as that, where the flight has them
    double share = 0.02;  // and at most this share of a longer flight
    int at_most = 96;     // bounds the memory of the scout
};

// Positions in `priors` (ascending) of the frames to scout: ends of lanes, where row ends are in view, and frames
// spread evenly over the flight. Frames without a pose are passed over. The same answer for the same input.
std::vector<int> choose_scout_frames(std::span<const FramePrior> priors, const ScoutOptions& options = {});

}  // namespace heatrow
