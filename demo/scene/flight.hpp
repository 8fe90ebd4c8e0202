// Where the camera is at each frame, and what its log says.
#pragma once

#include "heatrow/core/frame_prior.hpp"
#include "plant.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace scene {

enum class Fix { good, missing, zero };  // what the log has for a position

struct Shot {
    std::string name;  // file name of the frame
    int flight = 0;
    double time_s = 0.0;        // after the first frame, middle of the exposure
    double stamped_s = 0.0;     // what the camera's clock says
    heatrow::FramePose pose;    // true
    heatrow::FramePose logged;  // angles NaN where the log has none
    Fix fix = Fix::good;
    Eigen::Vector3d velocity_m_s{0.0, 0.0, 0.0};
};

// Lawn-mower lanes along the rows of the first block, flight after flight, or the handheld stations.
std::vector<Shot> plan_shots(const SceneSpec& scene, const Plant& plant, std::uint64_t seed);

}  // namespace scene
