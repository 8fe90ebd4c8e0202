// A visible-light camera beside the thermal one: [visible] of scene.toml.
#pragma once

#include <Eigen/Core>

#include <string>

namespace scene {

class Section;

struct VisibleSpec {
    int width_px = 960;
    int height_px = 768;
    double focal_px = 1690.0;              // without distortion, the principal point in the middle
    Eigen::Vector3d offset_m{0.05, 0, 0};  // from the thermal camera: right, down, along the line of sight
    double delay_s = 0.1;                  // after the thermal frame
    std::string format = "jpeg";           // or "png"
    int jpeg_quality = 88;

    [[nodiscard]] std::string extension() const { return format == "png" ? ".png" : ".jpg"; }
};

VisibleSpec read_visible(Section section);

}  // namespace scene
