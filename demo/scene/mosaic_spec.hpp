// An orthomosaic in place of the frames: [mosaic] of scene.toml.
#pragma once

#include <Eigen/Core>

#include <string>

namespace scene {

class Section;

// The mosaic is wrong as a whole, as one that was made without control: what it says lies at p lies in truth at
// centre + scale * turn(p - centre) + offset.
struct MosaicSpec {
    double pixel_m = 0.03;
    Eigen::Vector2d offset_m{0.0, 0.0};  // east, north
    double scale = 1.0;
    double turn_deg = 0.0;  // counter-clockwise

    static constexpr const char* kFile = "mosaic.tif";
};

MosaicSpec read_mosaic(Section section);

}  // namespace scene
