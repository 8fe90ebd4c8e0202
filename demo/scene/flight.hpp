// Where the camera is at each frame, and what its log says.
#pragma once

#include "heatrow/core/frame_prior.hpp"
#include "plant.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace scene {

struct Shot {
    std::string name;         // file name of the frame
    double time_s = 0.0;      // after the first frame, middle of the exposure
    heatrow::FramePose pose;  // true
    heatrow::FramePose logged;
    Eigen::Vector3d velocity_m_s{0.0, 0.0, 0.0};
};

// Lawn-mower lanes along the rows of the first block, or the handheld stations.
std::vector<Shot> plan_shots(const SceneSpec& scene, const Plant& plant, std::uint64_t seed);

}  // namespace scene
