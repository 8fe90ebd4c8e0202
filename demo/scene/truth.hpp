// What is true about a rendered survey: outlines in the frames, conditions.
#pragma once

#include "whole_view.hpp"
#include "world.hpp"

#include <Eigen/Core>

#include <array>
#include <string>
#include <vector>

namespace scene {

struct ViewTruth {
    int panel = 0;
    std::array<Eigen::Vector2d, 4> corners_px;  // top left, top right, bottom right, bottom left, `top` up
    double visible_share = 0.0;                 // of the outline: in the picture, from the front, not hidden
    [[nodiscard]] bool whole() const { return visible_share > kWholeShare; }
};

// The modules with any part in the picture, in the order of the plant.
std::vector<ViewTruth> true_views(const World& world, int shot);

struct MeanConditions {
    double irradiance_felt_w_m2 = 0.0;
    double rise_k = 0.0;
    double air_c = 0.0;
    double load_felt = 0.0;
};
MeanConditions mean_conditions(const World& world, const std::vector<int>& shots);

}  // namespace scene
