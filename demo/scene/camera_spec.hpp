// The camera of a scene: [camera] of scene.toml.
#pragma once

#include <Eigen/Core>

#include <array>

namespace scene {

class Section;

struct CameraSpec {
    int width_px = 640;
    int height_px = 512;
    double focal_px = 1125.0;
    Eigen::Vector2d principal_point_px{319.5, 255.5};
    std::array<double, 5> distortion{};  // k1, k2, p1, p2, k3
    double blur_sigma_px = 0.5;          // optics and pixel together
    double time_constant_ms = 10.0;
    double noise_k = 0.05;
    double fixed_pattern_k = 0.02;
    double vignetting_k = 0.2;  // how much colder the corners read
    double scale = 0.01;        // degC per count
    double offset = -273.15;    // degC at count 0
};

CameraSpec read_camera(Section section);

}  // namespace scene
