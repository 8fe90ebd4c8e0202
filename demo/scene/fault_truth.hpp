// What is true about the faults of a rendered survey: where, how strong, and what the pixels can show of it.
#pragma once

#include "truth.hpp"
#include "world.hpp"

#include <string>
#include <vector>

namespace scene {

// The three differences of docs/conventions.md, kelvin, the healthy template removed; NaN where one has no meaning.
struct Differences {
    double cell = 0.0;    // mean of the hottest cell of the fault, to the module's other cells
    double point = 0.0;   // hottest mean over 3 x 3 pixels
    double median = 0.0;  // of a substring to the module's other cells; of modules and strings to healthy modules
};

struct FaultTruth {
    std::string id;
    Fault fault;
    heatrow::Pattern resolved = heatrow::Pattern::hot_cell;  // what the pixels, without other evidence, can tell
    std::vector<int> substrings;                             // from 1
    std::vector<int> cells;                                  // row by row; empty = the whole module or string
    std::vector<int> panels;                                 // that it changes
    Differences at_frames;                                   // at the mean conditions of the frames that see it
    Differences at_1000;                                     // the same wind and load, at 1000 W/m2
    double delta_t_k = 0.0;                                  // the one of the three that the pattern is judged by
    double delta_t_1000_k = 0.0;
    double source_w_m2 = 0.0;      // strongest, at 1000 W/m2 and full load
    double pixels_per_cell = 0.0;  // along the shorter side; NaN where no frame shows it wholly
    int frames = 0;                // whole views of it at enough irradiance; of a string, its least seen module
    bool in_scope = false;
};

// views: of each shot, by true_views.
std::vector<FaultTruth> true_faults(const World& world, const std::vector<std::vector<ViewTruth>>& views);

// Each cell against what the healthy template says for it, K.
std::vector<double> cell_residuals(const PanelHeat& heat, const HeatState& state);

}  // namespace scene
