// A patch of dirt on a module, with a ragged edge that knows nothing of cells.
#pragma once

#include "panel_type.hpp"

#include <Eigen/Core>

#include <array>
#include <cstdint>
#include <vector>

namespace scene {

class Dirt {
  public:
    // middle: in plane coordinates; size: about how wide it is, m.
    Dirt(const Eigen::Vector2d& middle, double size_m, std::uint64_t seed);
    // Share of the light that it takes at a point.
    [[nodiscard]] double cover(double x, double y) const;
    // Share of its light that each cell keeps, row by row.
    [[nodiscard]] std::vector<double> light_on_cells(const PanelType& type) const;

  private:
    static constexpr std::size_t kWaves = 4;
    Eigen::Vector2d middle_;
    double radius_m_;
    double turn_;
    double stretch_;
    double opacity_;
    std::array<double, kWaves> amplitude_{};
    std::array<double, kWaves> phase_{};
};

}  // namespace scene
