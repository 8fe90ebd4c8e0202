// Temperatures over every module: healthy template, spread between modules and cells, sources of faults, spread
// sideways. All as differences in kelvin at 1000 W/m2 and the scene's mean wind; they scale with the rise over air.
#pragma once

#include "faults.hpp"
#include "plant.hpp"

#include <cstdint>
#include <vector>

namespace scene {

// A raster over a module's outline in plane coordinates, about 1 cm a node, nodes at the middle of their squares.
struct HeatMap {
    int nx = 0;
    int ny = 0;
    double dx_m = 0.0;
    double dy_m = 0.0;
    std::vector<float> values;

    // Bilinear; clamped to the outer nodes.
    [[nodiscard]] double at(double x, double y) const {
        double px = x / dx_m - 0.5;
        double py = y / dy_m - 0.5;
        px = px < 0.0 ? 0.0 : (px > nx - 1.001 ? nx - 1.001 : px);
        py = py < 0.0 ? 0.0 : (py > ny - 1.001 ? ny - 1.001 : py);
        const int ix = static_cast<int>(px);
        const int iy = static_cast<int>(py);
        const double fx = px - ix;
        const double fy = py - iy;
        const float* row = values.data() + static_cast<std::ptrdiff_t>(iy) * nx + ix;
        const double upper = static_cast<double>(row[0]) + fx * static_cast<double>(row[1] - row[0]);
        const double lower = static_cast<double>(row[nx]) + fx * static_cast<double>(row[nx + 1] - row[nx]);
        return upper + fy * (lower - upper);
    }
};

struct PanelHeat {
    HeatMap map;
    std::vector<double> cell_mean_k;      // of each cell, row by row
    std::vector<double> cell_expected_k;  // what the healthy template says for it
};

// One for each panel.
std::vector<PanelHeat> build_heat(const Plant& plant,
                                  const HeatSpec& spec,
                                  const std::vector<Fault>& faults,
                                  double reference_rise_k,
                                  std::uint64_t seed);

// Mean over each cell.
std::vector<double> cell_means(const PanelType& type, const HeatMap& map);

}  // namespace scene
