// A raster of kelvin over a module's outline.
#pragma once

#include "panel_type.hpp"

#include <cstddef>
#include <vector>

namespace scene {

// Plane coordinates, nodes at the middle of their rectangles, row by row.
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

// Nodes of about a centimetre over the outline; no values yet.
HeatMap heat_raster(const PanelType& type);

// Mean over each cell, row by row.
std::vector<double> cell_means(const PanelType& type, const HeatMap& map);

}  // namespace scene
