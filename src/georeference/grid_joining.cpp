#include "heatrow/georeference/grid_joining.hpp"

#include "frame_layer.hpp"
#include "joined_scene.hpp"
#include "joined_tables.hpp"

namespace heatrow {

JoinedGrids join_grids(const std::vector<SeenFrame>& frames, const Lens& lens, const JoiningOptions& options) {
    detail::JoinedScene scene;
    JoinedGrids result;
    result.left_out = detail::lay_frames(scene, frames, lens, options);
    if (scene.grids.empty()) {
        return result;
    }
    constexpr int kRounds = 4;
    detail::solve_scene(scene, frames, options);
    for (int round = 0; round < kRounds && detail::merge_tables(scene); ++round) {
        detail::solve_scene(scene, frames, options);
    }
    result.tables = detail::finish_tables(scene, frames, lens, options);
    result.poses = std::move(scene.poses);
    result.yaw_turn_rad = scene.yaw_turn_rad;
    result.scale = scene.scale;
    return result;
}

}  // namespace heatrow
