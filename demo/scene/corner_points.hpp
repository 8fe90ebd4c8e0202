// Corner points that somebody picked in a handheld frame.
#pragma once

#include "truth.hpp"

#include <Eigen/Core>

#include <string>
#include <vector>

namespace scene {

struct CornerPick {
    Eigen::Vector2d pixel;
    int panel = 0;
    std::string corner;  // top_left, ...
};

// The four outer corners of the largest rectangle of wholly visible modules of one table, with picking noise. No three
// lie on a line. Empty where no such rectangle is in the picture.
std::vector<CornerPick> pick_corners(const World& world, int shot, const std::vector<ViewTruth>& views);

}  // namespace scene
