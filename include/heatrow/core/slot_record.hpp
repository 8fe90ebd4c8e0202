// Stage 1: what one frame's pixels said, each module slot in view sampled, names not yet given.
#pragma once

#include "heatrow/core/flags.hpp"
#include "heatrow/core/frame_prior.hpp"

#include <Eigen/Core>

#include <array>
#include <limits>
#include <vector>

namespace heatrow {

// Figures of one cell in one frame, in counts of the frame (conversion comes later, through the table).
struct CellSample {
    float mean = 0.0F;     // area-weighted mean over the cell's inside, counts; freed of the neighbours' blur where the
                           // point spread is known (segment/sample.hpp); NaN where the cell has no pixel with data
    float hottest = 0.0F;  // largest 3 x 3 pixel mean inside the cell, counts; NaN where none fits
    float spread = 0.0F;   // standard deviation over the cell's inside, counts
    float pixels = 0.0F;   // sum of the area weights, px
};

// One module slot of one frame.
struct ModuleSlot {
    int module = 0;  // layout index of the slot under the flight's alignment; a name only once it is decided
    // Outline: corners top left, top right, bottom right, bottom left as seen from the front with the type's `top` up.
    std::array<Eigen::Vector2d, 4> corners_px;
    Radians view_angle{0.0};        // between line of sight and module normal at its centre; 0 = perpendicular
    double cell_short_px = 0.0;     // shorter side of a cell, px
    double smear_px = 0.0;          // image motion during one detector time constant, px; NaN where not known
    Flags flags;                    // of this view: too_few_pixels, angle_too_shallow, smeared, clipped
    std::vector<CellSample> cells;  // row by row, rows x columns of the module type
};

// What a frame's own pixels say of being elsewhere on the layout's lattice than where it was locked. Only what tells
// places apart speaks: ends of rows, gaps between tables, missing modules, seen or missed. The logged position does
// not.
struct PlaceVote {
    int along = 0;  // pitches from the locked place (LayoutIndex::pitch_along, pitch_across)
    int across = 0;
    // Natural log of how much more probable the picture is there than at the locked place, by one witness; 0 where
    // nothing tells.
    double log_likelihood = 0.0;
    // Layout index of the module whose sides tell, of several side by side the one that tells most; -1 where nothing
    // tells.
    int witness = -1;
    bool witness_stands_here = true;  // at the locked place; else it would stand in the picture at the other one
};

// Where the gaps between the modules of one table are, along the row, from where the locked pose has them. It repeats
// every pitch.
struct TableShift {
    int table = 0;       // index in Layout::tables
    double along = 0.0;  // pitches, from -0.5 to 0.5; NaN where the table is not where it is drawn and no shift tells
};

// One locked frame. Pixels are let go once this exists.
struct SlotRecord {
    int frame = 0;
    FramePose pose;  // locked
    Eigen::Matrix<double, 6, 6> pose_covariance =
        Eigen::Matrix<double, 6, 6>::Zero();  // position (m), then yaw, pitch, roll (rad)
    double lock_rms_px = kNaN;                // rms of the edge residuals after the lock, px
    int edges_used = 0;                       // number of edge probes that took part
    // How much better this pose explains the frame than the best one a module further along or across, natural log
    // units; infinite where corner points fix the placement.
    double slip_margin = std::numeric_limits<double>::infinity();
    // Where the flight's alignment expected the camera, m, before this frame's edges were looked at; NaN without a
    // pose.
    Eigen::Vector3d expected_position_in_site = Eigen::Vector3d::Constant(kNaN);
    // Of other places, by along, then across, one for each witness, and at least one for each place that comes into
    // question; empty where corner points fix the place.
    std::vector<PlaceVote> votes;
    std::vector<TableShift> table_shifts;  // of tables that tell clearly, by table
    std::vector<ModuleSlot> slots;         // in layout order
};

}  // namespace heatrow
