// Temperatures over every module, from a heat solve of its sheet: healthy template, spread between modules and cells,
// and what faults put in. Kelvin at 1000 W/m2, the scene's mean wind and full load, with the law each part follows.
#pragma once

#include "faults.hpp"
#include "heat_law.hpp"
#include "heat_raster.hpp"
#include "plant.hpp"

#include <cstdint>
#include <vector>

namespace scene {

struct HeatLayer {
    HeatLaw law;
    HeatMap map;
    std::vector<double> cell_mean_k;  // of each cell, row by row
};

struct PanelHeat {
    std::vector<HeatLayer> layers;        // first what every module has; over the rise of a loaded healthy one
    std::vector<double> cell_expected_k;  // what the healthy template says for each cell
    double source_w_m2 = 0.0;             // the strongest that faults put in; 0 on a healthy module

    [[nodiscard]] double at(double x, double y, const HeatState& state) const {
        double sum = 0.0;
        for (const HeatLayer& layer : layers) {
            sum += layer.law.factor(state) * layer.map.at(x, y);
        }
        return sum;
    }
    [[nodiscard]] std::vector<double> cell_means_k(const HeatState& state) const;
    // Everything in one map.
    [[nodiscard]] HeatMap sum_of(const HeatState& state) const;
};

// The conditions that the maps stand for.
struct HeatReference {
    double rise_k = 0.0;  // of a loaded healthy module over air at 1000 W/m2 and the scene's mean wind
    double air_c = 0.0;
    // Loads of each string over the survey, lowest and highest.
    std::vector<std::pair<double, double>> loads;
};

// One for each panel.
std::vector<PanelHeat> build_heat(const Plant& plant,
                                  const HeatSpec& spec,
                                  const std::vector<Fault>& faults,
                                  const HeatReference& reference,
                                  std::uint64_t seed);

}  // namespace scene
