#include "heat_raster.hpp"

#include <algorithm>
#include <cmath>

namespace scene {

HeatMap heat_raster(const PanelType& type) {
    constexpr double kNode = 0.01;
    HeatMap raster;
    raster.nx = std::max(4, static_cast<int>(std::lround(type.width_m / kNode)));
    raster.ny = std::max(4, static_cast<int>(std::lround(type.height_m / kNode)));
    raster.dx_m = type.width_m / raster.nx;
    raster.dy_m = type.height_m / raster.ny;
    return raster;
}

std::vector<double> cell_means(const PanelType& type, const HeatMap& map) {
    // 16 x 16 points a cell through the same interpolation as the picture.
    constexpr int kPoints = 16;
    std::vector<double> means;
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        const auto box = type.cell_box(cell);
        double sum = 0.0;
        for (int iy = 0; iy < kPoints; ++iy) {
            for (int ix = 0; ix < kPoints; ++ix) {
                sum += map.at(box.left + (ix + 0.5) / kPoints * (box.right - box.left),
                              box.top + (iy + 0.5) / kPoints * (box.bottom - box.top));
            }
        }
        means.push_back(sum / (kPoints * kPoints));
    }
    return means;
}

}  // namespace scene
