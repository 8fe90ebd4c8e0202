// What is true about a rendered survey: outlines in the frames, faults and their differences, conditions.
#pragma once

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
    [[nodiscard]] bool whole() const { return visible_share > 0.99; }
};

// The modules with any part in the picture, in the order of the plant.
std::vector<ViewTruth> true_views(const World& world, int shot);

struct FaultTruth {
    std::string id;
    Fault fault;
    std::vector<int> substrings;  // from 1
    std::vector<int> cells;       // row by row; empty = the whole module or string
    double delta_t_k = 0.0;       // at the mean conditions of the frames that see it
    double delta_t_1000_k = 0.0;
    int frames = 0;  // whole views of it at enough irradiance; of a string, its least seen module
    bool in_scope = false;
};

// views: of each shot, by true_views.
std::vector<FaultTruth> true_faults(const World& world, const std::vector<std::vector<ViewTruth>>& views);

struct MeanConditions {
    double irradiance_felt_w_m2 = 0.0;
    double rise_k = 0.0;
    double air_c = 0.0;
};
MeanConditions mean_conditions(const World& world, const std::vector<int>& shots);

// Each cell's difference to its module's median after the healthy template is removed, K at 1000 W/m2 and mean wind.
std::vector<double> cell_residuals(const PanelHeat& heat);
double median_of(std::vector<double> values);

}  // namespace scene
