// Stage 0: what is known on the ground by name.
#pragma once

#include <Eigen/Core>

#include <string>

namespace heatrow {

// A pixel that shows a certain module, or a surveyed point.
struct ControlMark {
    std::string name;  // of the module or the point
    int frame = 0;     // index in the run
    Eigen::Vector2d pixel{0.0, 0.0};
    int module = -1;                               // layout index of the module that it shows; -1: a surveyed point
    Eigen::Vector3d point_in_site{0.0, 0.0, 0.0};  // m; of a module its centre
    double sd_m = 0.0;  // standard deviation of the point on the ground, each axis; of a module what its size leaves
    bool held = false;  // not used, only compared
    std::string where;  // file and line, for messages
};

}  // namespace heatrow
