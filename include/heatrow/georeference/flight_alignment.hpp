// What one flight's log is wrong by, found on a few scout frames.
#pragma once

#include "heatrow/camera/lens.hpp"
#include "heatrow/core/control_mark.hpp"
#include "heatrow/core/for_each.hpp"
#include "heatrow/core/frame_prior.hpp"
#include "heatrow/core/image.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/georeference/flights.hpp"
#include "heatrow/site/layout_index.hpp"

#include <Eigen/Core>

#include <span>
#include <vector>

namespace heatrow {

struct AlignmentOptions {
    Metres search_horizontal{6.0};  // a logged position is off by at most this
    Metres search_vertical{120.0};  // ellipsoid taken for sea level: up to 110 m
    Radians search_heading = degrees(6.0);
    Metres position_sd{0.2};             // of a logged position about the drifting bias
    Radians attitude_sd = degrees(0.3);  // of logged yaw, pitch and roll about their constant errors
    double blur_sigma_px = 0.6;          // of optics and pixel together
    double nodata = kNaN;                // count that means no data; NaN = none
    // Share of frames that may show something else than the layout (own choice): caps the vote of one frame.
    double outlier_share = 0.01;
    std::vector<FlightWay> ways;             // of all frames of the flight (flight_ways)
    ForEach for_each = one_after_the_other;  // frames; the result does not depend on it
};

struct ScoutFrame {
    const FramePrior* prior = nullptr;
    CountView counts;
    Eigen::Vector3d camera_motion_in_site{0.0, 0.0, 0.0};  // as LockOptions
    std::vector<ControlMark> marks{};                      // known in this frame, none of them held
    const LayoutIndex* site = nullptr;  // as this frame saw it, where tables turn; null: the flight's
};

// What a flight's positions are off by at one time.
struct DriftPoint {
    UtcTime time{};
    Eigen::Vector2d drift{0.0, 0.0};                       // m, add it to a logged position (east, north)
    Eigen::Matrix2d covariance = Eigen::Matrix2d::Zero();  // of drift and turning part together, m2
    double margin = 0.0;                                   // as FlightAlignment::margin, at this time
};

// How late the logged positions are: they are those of so much before the frames were taken.
struct PositionLag {
    double seconds = kNaN;    // NaN: not known, the scout frames did not lock or the flight hovers
    double u_s = kNaN;        // standard uncertainty
    double speed_m_s = kNaN;  // median of the scout frames
};

struct FlightAlignment {
    // m, add it to a logged position: the median over the flight; `drift` says how it changes.
    Eigen::Vector3d position_correction_in_site{0.0, 0.0, 0.0};
    Eigen::Vector3d correction_sd{0.0, 0.0, 0.0};  // m, of that
    std::vector<DriftPoint> drift;                 // of the horizontal part, by time; empty: it stands still
    double wander_m = 0.0;                         // standard deviation that the drift gains in a second, m
    // m, add it along the way of the flight and to its right: a boresight, a lever arm, a lag of the positions.
    Eigen::Vector2d turning_correction{0.0, 0.0};
    std::vector<FlightWay> ways;  // that it is counted along; where none is near, along the top of the picture
    PositionLag lag;              // that this is, as far as the flight tells; already in it
    Eigen::Vector3d attitude_correction{0.0, 0.0, 0.0};     // rad, add it to logged yaw, pitch, roll
    Eigen::Vector3d attitude_correction_sd{0.0, 0.0, 0.0};  // rad
    // Natural log of how much more probable the scout frames make this placement than the best other one inside the
    // search that differs by about a module or more, or in scale or sign. Near zero where rows look alike and no end is
    // in view.
    double margin = 0.0;
    int frames_used = 0;         // scout frames with a pose that see modules
    int frames_locked = 0;       // of these, locked on their edges; they give the last centimetres
    bool modules_warmer = true;  // than what surrounds them
};

// Where a frame's camera is expected, before its pixels are looked at.
struct ExpectedPose {
    FramePose pose;
    // Of the flight's corrections at that time, m2 and rad; scatter of a single log entry is not in it.
    Eigen::Matrix3d position_covariance = Eigen::Matrix3d::Zero();
    Eigen::Vector3d attitude_sd{0.0, 0.0, 0.0};
    double margin = 0.0;  // of the flight's placement at that time
};
// The prior must have a pose.
ExpectedPose expected_pose(const FlightAlignment& alignment, const FramePrior& prior);

// Height, heading and sign first (every frame with a bounded vote, its displacement free), then the drifting bias of
// the positions from every frame's votes for the displacements under which the layout explains it, blurred by the
// scatter of logged poses and capped. Then the scout frames are locked on their edges, which gives the rest.
// docs/alignment.md describes it. Frames without pose, or that see no module at any place searched, do not vote. No
// votes: margin 0.
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
