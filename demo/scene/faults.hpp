// Where the faults lie and how strong they are meant to be.
#pragma once

#include "heatrow/core/finding.hpp"
#include "plant.hpp"

#include <cstdint>
#include <vector>

namespace scene {

struct Fault {
    heatrow::Pattern pattern = heatrow::Pattern::hot_cell;
    int panel = -1;  // -1 for a fault of a string
    int string = -1;
    int cell = -1;                // row by row
    int substring = 0;            // from 1
    double delta_t_1000_k = 0.0;  // meant difference; NaN = by the energy balance
};

// The listed faults first, then the random ones: strings, then modules of other strings, one fault a module.
std::vector<Fault> place_faults(const SceneSpec& scene, const Plant& plant, std::uint64_t seed);

}  // namespace scene
