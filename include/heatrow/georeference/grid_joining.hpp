// Module grids that were found in single frames, joined over the frames of a flight: which grids show the same modules,
// where the camera really stood, and where the modules lie. No layout is needed.
//
// A grid of a known type of module has a scale, so a frame's grids lie in space relative to its camera. Frames are laid
// onto what earlier ones showed: shifts by whole modules are told apart by the logged positions, by ends and holes, and
// by the modules' levels. All positions are then solved at once (least squares): frames, modules, a turn that all yaws
// share, and a factor of scale.
#pragma once

#include "heatrow/camera/lens.hpp"
#include "heatrow/core/frame_prior.hpp"

#include <Eigen/Core>

#include <string>
#include <utility>
#include <vector>

namespace heatrow {

struct SeenModule {
    int column = 0;  // of the grid, to the right in the picture
    int row = 0;     // downwards
    Eigen::Vector3d centre_in_camera;
    double level = 0.0;  // mean of its glass, counts
    bool whole = false;  // all of it in the picture
};

// A grid of one frame. The plane's axes: along the columns, against the rows, towards the camera.
struct SeenGrid {
    int type = 0;                       // of the site's
    bool lies = false;                  // modules' height runs along the rows of the grid
    Eigen::Matrix3d camera_from_plane;  // axes as columns
    Eigen::Vector2d pitch_m{0.0, 0.0};  // from column to column, from row to row
    std::vector<SeenModule> modules;    // neighbours share a side
};

struct SeenFrame {
    FramePrior prior;  // with a pose
    std::vector<SeenGrid> grids;
};

struct JoinedModule {
    int column = 0;  // of its table, from 0 at the left of one who looks up the slope
    int tier = 0;    // from 0 at the lower edge
    Eigen::Vector3d centre_in_site;
    int seen = 0;           // frames
    int expected = 0;       // frames that have its place well inside and show its table
    double spread_m = 0.0;  // of its places by single frames after the solution, standard deviation
    bool whole = false;     // in one frame at least
};

// Modules on one plane, in columns and tiers.
struct JoinedTable {
    int type = 0;
    bool lies = false;  // modules' height runs along the row
    Eigen::Vector3d right_in_site;
    Eigen::Vector3d normal_in_site;
    Eigen::Vector2d pitch_m{0.0, 0.0};  // along the row, up the slope
    Eigen::Vector3d origin_in_site;     // centre of column 0, tier 0
    std::vector<JoinedModule> modules;  // by tier, then column
    int frames = 0;
    bool cut_left = false;  // its end was not seen: the outermost modules touch the border of every picture
    bool cut_right = false;
};

struct JoinedGrids {
    std::vector<JoinedTable> tables;
    std::vector<FramePose> poses;  // of each frame, solved
    // Frames that were left out, with the reason: index in the input.
    std::vector<std::pair<int, std::string>> left_out;
    double yaw_turn_rad = 0.0;  // by which the logged yaws are too large together
    double scale = 1.0;         // of the positions over what the sizes of the modules say
};

struct JoiningOptions {
    double position_noise_m = 0.25;  // from one frame to the next (common practice for receivers, no source)
    double position_walk_m = 0.1;    // per root of a second
    double yaw_common_sd_rad = 0.1;  // of the turn that all share
    double yaw_sd_rad = 0.015;       // of one frame beside it
    double tilt_sd_rad = 0.012;      // of pitch and roll
    double centre_sd_m = 0.05;       // of a module's centre from one frame
    double depth_sd_m = 1.0;         // of its distance, over the root of the modules of its grid
    double scale_sd = 0.02;          // gaps are not known exactly
};

// Frames in the order in which they were taken. Frames without a grid take no part and are not left out with a reason.
JoinedGrids join_grids(const std::vector<SeenFrame>& frames, const Lens& lens, const JoiningOptions& options = {});

}  // namespace heatrow
