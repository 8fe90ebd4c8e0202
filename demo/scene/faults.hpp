// Where the faults lie and how strong they are meant to be.
#pragma once

#include "heatrow/core/finding.hpp"
#include "plant.hpp"

#include <Eigen/Core>

#include <cstdint>
#include <vector>

namespace scene {

struct Fault {
    heatrow::Pattern pattern = heatrow::Pattern::hot_cell;
    int panel = -1;  // -1 for a fault of a string
    int string = -1;
    std::vector<int> cells{};             // row by row; of a fault that lies on cells
    int substring = 0;                    // from 1; 0 = none
    int branch = -1;                      // of the type, where only one of parallel branches is open
    double delta_t_1000_k = 0.0;          // meant difference; NaN = by the circuit and the energy balance
    double light = 1.0;                   // of a weak cell: its photocurrent over a healthy one's
    double exponent = 1.0;                // of the current, for what a resistance warms
    Eigen::Vector2d place_m{0.0, 0.0};    // in plane coordinates: box, point, middle of dirt
    double size_m = 0.0;                  // of dirt
    int modules = 0;                      // of degradation: so many from the negative end
    std::uint64_t seed = 0;               // of what else is drawn for it
    int number = 0;                       // from 1, the same in every season
    std::size_t season = 0;               // that it came in
    double growth = 1.0;                  // since then
    std::vector<float> light_on_nodes{};  // of shade: the same at each node of the heat raster
    // Of shade and dirt: share of its light that each cell of the module keeps. Empty otherwise.
    std::vector<double> light_on_cells{};
};

// Does it change this module, itself or through its string?
bool touches(const Fault& fault, const Plant& plant, int panel);

// The listed faults first, then the random ones: strings, then modules of other strings, one fault a module. Then what
// changed season by season, up to the scene's. Shade is not among them.
std::vector<Fault> place_faults(const SceneSpec& scene, const Plant& plant, std::uint64_t seed);

}  // namespace scene
