// How control points and known pixels fit the frames as they are placed.
#pragma once

#include "heatrow/core/placed_view.hpp"
#include "heatrow/core/units.hpp"

#include <Eigen/Core>

#include <string>
#include <string_view>

namespace heatrow {

struct ControlResult {
    enum class Kind { known_pixel, control_point, module_corner };
    enum class Use {
        used,     // it settled where its frame is
        held,     // only compared
        refused,  // `detail` says why
    };
    Kind kind = Kind::known_pixel;
    Use use = Use::used;
    std::string name;  // of the module or point
    int frame = 0;     // -1 of a surveyed corner of a module
    Eigen::Vector2d pixel{0.0, 0.0};
    Eigen::Vector3d point_in_site{0.0, 0.0, 0.0};  // m; of a known pixel the module's centre
    // Whether the modules of its frame have names: where they have not, the residual is that of the most probable
    // place; not_seen where the frame took no part.
    Placement placement = Placement::not_seen;                 // of corners too
    Eigen::Vector2d off_px = Eigen::Vector2d::Constant(kNaN);  // marked less found; of a known pixel from the outline
    Eigen::Vector2d off_m = Eigen::Vector2d::Constant(kNaN);   // the same on the ground, east and north
    std::string detail;                                        // where refused why; of a corner its module
};
std::string_view to_string(ControlResult::Kind kind);
std::string_view to_string(ControlResult::Use use);

}  // namespace heatrow
