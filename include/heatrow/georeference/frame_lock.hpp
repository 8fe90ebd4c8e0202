// One frame, alone, brought onto the lattice of the layout by its edges.
#pragma once

#include "heatrow/camera/lens.hpp"
#include "heatrow/core/frame_prior.hpp"
#include "heatrow/core/image.hpp"
#include "heatrow/core/rejection.hpp"
#include "heatrow/core/slot_record.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/georeference/flight_alignment.hpp"
#include "heatrow/site/layout_index.hpp"

#include <Eigen/Core>
#include <tl/expected.hpp>

#include <limits>
#include <optional>
#include <vector>

namespace heatrow {

using Matrix6d = Eigen::Matrix<double, 6, 6>;

struct LockOptions {
    // Scatter of single log entries about what the flight has in common; the alignment states its own uncertainty.
    Metres position_sd{0.2};
    Radians attitude_sd = degrees(0.3);  // of yaw, pitch and roll
    double blur_sigma_px = 0.6;          // of optics and pixel together
    double nodata = kNaN;                // count that means no data; NaN = none
    // Of the camera during one detector time constant, m: edges trail behind a moving camera. The pose found is that of
    // the outlines, where a trailing edge has half its height (trail_blur.hpp).
    Eigen::Vector3d camera_motion_in_site{0.0, 0.0, 0.0};
    bool measures_motion = false;  // where the picture shows another motion, it counts; only for a first-order detector
    int most_probes = 320;         // in one pass
    // Acceptance (own choices, measured on rendered scenes in docs/accuracy.md)
    int minimum_edges = 12;
    double minimum_share_found = 0.35;  // of the probes on sides between modules
    double maximum_rms_px = 1.2;
    double free_side_sd_px =
        0.35;  // of a free side's systematic offset: rim and ground are not told apart below a pixel
};

struct LockedFrame {
    FramePose pose;
    Matrix6d covariance = Matrix6d::Zero();  // position (m), then yaw, pitch, roll (rad)
    double rms_px = 0.0;                     // of the edge residuals that took part
    int edges_used = 0;
    double share_found = 0.0;  // of the probes on sides between modules that showed an edge
    // Natural log of how much more probable this place is than the best other one on the lattice (a module along or
    // across), from the logged pose and from what lies beyond row ends in this frame; infinite where there is none.
    double slip_margin = std::numeric_limits<double>::infinity();
    std::vector<PlaceVote> votes;  // of the nearest other places and of those that the prior does not rule out
    // Modules of tables that are not where the layout has them beside the others, ascending: their slots mean nothing.
    std::vector<int> contradicted;
    std::vector<TableShift> table_shifts;  // as SlotRecord
    // Of the camera, as LockOptions, by the picture; nothing where it does not differ from the log's.
    std::optional<Eigen::Vector3d> measured_motion_in_site;
};

// sees_nothing: no module in the picture at the corrected pose. not_locked: too few edges found, too large residuals,
// or a solution further off than half a module. The detail names the figures.
tl::expected<LockedFrame, Rejection> lock_frame(const LayoutIndex& site,
                                                const Lens& lens,
                                                const FramePrior& prior,
                                                const FlightAlignment& alignment,
                                                CountView counts,
                                                const LockOptions& options = {});

// The last step alone: from a pose that is right to about 2 px, e.g. one from corner points.
tl::expected<LockedFrame, Rejection> polish_pose(const LayoutIndex& site,
                                                 const Lens& lens,
                                                 const FramePose& start,
                                                 const Matrix6d& start_covariance,
                                                 CountView counts,
                                                 const LockOptions& options = {});

}  // namespace heatrow
