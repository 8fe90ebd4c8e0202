// Faults and which of them count: [[fault]], [[random_faults]], [limits_k] and [scope] of scene.toml.
#pragma once

#include "heatrow/core/finding.hpp"

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace scene {

class Section;

// What a pattern of the scene lies on.
enum class FaultPlace { cell, substring, module, string };
// Empty for patterns that are no fault of the scene: causes that an analysis leaves open, and shading, which follows
// from what stands in the sun.
std::optional<FaultPlace> fault_place(heatrow::Pattern pattern);

// Faults drawn at random: how many, and how strong at 1000 W/m2 where that is free to choose.
struct RandomFaults {
    heatrow::Pattern pattern = heatrow::Pattern::hot_cell;
    int count = 0;
    double low_k = 0.0;  // NaN: by the circuit and the energy balance
    double high_k = 0.0;
};

struct FaultSpec {
    heatrow::Pattern pattern = heatrow::Pattern::hot_cell;
    std::string module;
    std::string string;
    std::vector<std::string> cells;
    int substring = 0;
    int branch = 0;               // of the substring's parallel branches, from 1; 0 = all
    int box = 0;                  // junction box of the type, from 1
    int modules = 0;              // of degradation
    double size_m = 0.0;          // of dirt
    double delta_t_1000_k = 0.0;  // NaN: by the circuit and the energy balance
};

struct ScopeSpec {
    std::map<heatrow::Pattern, double> limits_k;  // a pattern without one is never in scope
    double factor = 1.2;
    int minimum_frames = 3;
    double minimum_irradiance_w_m2 = 600.0;
};

RandomFaults read_random_faults(Section section);
FaultSpec read_fault(Section section);
ScopeSpec read_scope(Section& root);

}  // namespace scene
