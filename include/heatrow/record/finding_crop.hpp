// What a frame shows of one finding: the pixels around it as measured, with the outlines of module and parts.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/core/units.hpp"

#include <Eigen/Core>

#include <optional>
#include <vector>

namespace heatrow {

struct FindingCrop {
    int finding = 0;                  // index in the record's findings
    int frame = 0;                    // index in the record's frames
    Image<float> temperature_c;       // apparent temperature; NaN: no temperature
    Eigen::Vector2i corner_px{0, 0};  // pixel of the frame that lies at (0, 0)
    // In pixels of the crop (docs/conventions.md).
    std::vector<std::vector<Eigen::Vector2d>> modules_px;  // the finding's module, or those of its string
    std::vector<std::vector<Eigen::Vector2d>> parts_px;  // its cells or substrings; empty where it is the whole module
    std::optional<Eigen::Vector2d> hottest_px;           // middle of the hottest 3 x 3 pixels of the parts
    Celsius hottest{kNaN};                               // their mean
    Metres metres_per_pixel{kNaN};
    Celsius scale_low{kNaN};  // limits of the colour scale, the same for all findings of a run
    Celsius scale_high{kNaN};
};

}  // namespace heatrow
