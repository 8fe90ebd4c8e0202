// Faults and which of them count: [[fault]], [[random_faults]], [limits_k] and [scope] of scene.toml.
#pragma once

#include "heatrow/core/finding.hpp"

#include <map>
#include <string>

namespace scene {

class Section;

// Faults drawn at random: how many, and how strong at 1000 W/m2 where that is free to choose.
struct RandomFaults {
    heatrow::Pattern pattern = heatrow::Pattern::hot_cell;
    int count = 0;
    double low_k = 0.0;  // NaN: by the energy balance
    double high_k = 0.0;
};

struct FaultSpec {
    heatrow::Pattern pattern = heatrow::Pattern::hot_cell;
    std::string module;
    std::string string;
    std::string cell;
    int substring = 0;
    double delta_t_1000_k = 0.0;  // NaN: by the energy balance
};

struct ScopeSpec {
    std::map<heatrow::Pattern, double> limits_k;
    double factor = 1.2;
    int minimum_frames = 3;
    double minimum_irradiance_w_m2 = 600.0;
};

RandomFaults read_random_faults(Section section);
FaultSpec read_fault(Section section);
ScopeSpec read_scope(Section& root);

}  // namespace scene
