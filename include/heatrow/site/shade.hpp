// Which cells of a module lie in the shadow of other tables and of obstacles: geometry alone, from the layout in space
// and the direction of the sun.
#pragma once

#include "heatrow/core/cell.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/site/layout.hpp"
#include "heatrow/site/layout_index.hpp"

#include <Eigen/Core>

#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace heatrow {

// What stands on site and casts a shadow: an upright prism.
struct Obstacle {
    std::string id;
    std::vector<Eigen::Vector2d> outline_in_site;  // convex, in turn, m (east, north)
    double base_m = 0.0;                           // site up, m
    double top_m = 0.0;
};

enum class CellLight : std::uint8_t {
    lit,
    edge,  // the shadow's edge is nearer than it is known
    shaded,
};

struct ShadeOptions {
    Metres edge{0.0};     // how far a shadow's edge may lie from where it is predicted: heights, places, sizes
    Radians angle{0.0};   // and for each metre that the shadow travels: the sun's disc, the clock
    Metres reach{40.0};   // shadows thrown from farther away are left out
};

struct ModuleShade {
    std::vector<CellLight> cells;  // row by row; empty where all are lit
    int table = -1;                // of the layout, that shades most of it; -1 for modules on none and for obstacles
    int obstacle = -1;             // the same of obstacles
};

// Keeps references to its arguments, which must outlive it.
class ShadeFinder {
  public:
    ShadeFinder(const LayoutIndex& site, std::span<const Obstacle> obstacles, const ShadeOptions& options);

    // to_sun: unit vectors towards the sun at several moments (site frame). A cell is lit where it is so at all of
    // them, shaded where it is so at all of them. A module that the sun does not reach from the front, or a sun below
    // one degree, gives no shade: there is no light to be taken away.
    [[nodiscard]] ModuleShade on_module(int module, std::span<const Eigen::Vector3d> to_sun) const;

  private:
    // A flat convex face that may stand in the way.
    struct Face {
        std::vector<Eigen::Vector3d> corners;
        int table = -1;
        int obstacle = -1;
    };
    [[nodiscard]] std::vector<Face> faces_towards(int module, const Eigen::Vector3d& to_sun) const;

    const LayoutIndex& site_;
    ShadeOptions options_;
    std::vector<Face> obstacle_faces_;
    double highest_m_ = 0.0;
};

}  // namespace heatrow
