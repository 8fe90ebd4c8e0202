// What is known of the tables while frames are laid onto one another.
#pragma once

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/georeference/grid_joining.hpp"

#include <Eigen/Core>

#include <cstddef>
#include <map>
#include <utility>
#include <vector>

namespace heatrow::detail {

using LatticePlace = std::pair<int, int>;  // column, tier

inline LatticePlace operator+(const LatticePlace& a, const LatticePlace& b) {
    return {a.first + b.first, a.second + b.second};
}
inline LatticePlace operator-(const LatticePlace& a, const LatticePlace& b) {
    return {a.first - b.first, a.second - b.second};
}

// Whether two places are one in plan, and not a storey apart: heights follow from distances, which few modules tell
// badly.
bool lies_near(const Eigen::Vector3d& a, const Eigen::Vector3d& b, double reach_m);

struct LaidModule {
    LatticePlace at;  // of the grid, columns to the right of one who looks up the slope, tiers up
    const SeenModule* seen = nullptr;
};

// A grid of one frame, turned so that its columns run to the right of one who looks up the slope.
struct LaidGrid {
    std::size_t frame = 0;
    int type = 0;
    bool lies = false;
    Eigen::Matrix3d axes_in_camera;  // right, up, normal as columns
    Eigen::Vector2d pitch_m{0.0, 0.0};
    std::vector<LaidModule> modules;
    int table = -1;
    LatticePlace offset{0, 0};  // place in the table = place in the grid + offset
};

LaidGrid lay_grid(const SeenGrid& grid, std::size_t frame, const FramePose& pose);

struct TableModule {
    Eigen::Vector3d centre_in_site = Eigen::Vector3d::Zero();
    int seen = 0;
    double level = 0.0;  // in the last frame that showed it
    std::size_t level_frame = 0;
};

struct KnownTable {
    int type = 0;
    bool lies = false;
    Eigen::Vector2d pitch_m{0.0, 0.0};
    Eigen::Vector3d right = Eigen::Vector3d::Zero();  // sums over grids; normalised where used
    Eigen::Vector3d normal = Eigen::Vector3d::Zero();
    std::map<LatticePlace, TableModule> modules;
    std::vector<std::size_t> grids;  // laid onto it
};

struct JoinedScene {
    std::vector<FramePose> poses;  // as solved so far
    std::vector<bool> joined;      // frames that take part
    std::vector<LaidGrid> grids;
    std::vector<KnownTable> tables;
    double yaw_turn_rad = 0.0;  // counter-clockwise from above, of all frames against their logs
    double scale = 1.0;

    // Centre of a module as its frame's pose has it, site frame.
    [[nodiscard]] Eigen::Vector3d centre(const LaidGrid& grid, const SeenModule& module) const;
    // Tables anew from the grids and the poses.
    void rebuild_tables();
};

// Least squares over all frames that are joined; poses, yaw_turn_rad and scale.
void solve_scene(JoinedScene& scene, const std::vector<SeenFrame>& frames, const JoiningOptions& options);

// Tables that share modules become one; whether there were any.
bool merge_tables(JoinedScene& scene);

}  // namespace heatrow::detail
