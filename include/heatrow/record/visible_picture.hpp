// What a partner frame in visible light shows of one finding. For the eye: never good to the pixel.
#pragma once

#include "heatrow/core/time.hpp"

#include <Eigen/Core>

#include <string>
#include <vector>

namespace heatrow {

struct VisiblePicture {
    int finding = 0;    // index in the record's findings
    std::string frame;  // file name of the visible frame
    UtcTime time{};     // when it was taken
    int partner = 0;    // index of the thermal frame nearest in time, in the record's frames
    std::string jpeg;   // bytes of the part of the frame around the module
    Eigen::Vector2i size_px{0, 0};
    std::vector<Eigen::Vector2d> module_px;  // outline in pixels of the picture (docs/conventions.md)
    bool fits = false;  // edges in the frame lie where the layout has modules; else the thermal frames' word is all
};

}  // namespace heatrow
