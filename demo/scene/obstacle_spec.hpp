// What stands in the sun or lies on modules: [[obstacle]] and [[on_module]] of scene.toml.
#pragma once

#include <Eigen/Core>

#include <string>

namespace scene {

class Section;

// Stands on the ground: casts its shadow on modules and is seen in the picture.
struct ObstacleSpec {
    std::string kind;  // "post", "wall", "bush"
    Eigen::Vector2d position_m{0.0, 0.0};
    double height_m = 4.0;
    double width_m = 0.12;
    double base_m = 0.0;  // height of its foot
    double above_air_k = 4.0;
};

// Lies on a module's glass.
struct OnModuleSpec {
    std::string kind;  // "cable", "animal", "leaves"
    std::string module;
    Eigen::Vector2d place{0.5,
                          0.5};  // of its middle, shares of the outline's width and height, from the type's top left
    double length_m = 1.0;
    double width_m = 0.008;
    double turn_deg = 0.0;  // from the row
    double above_air_k = 10.0;
};

ObstacleSpec read_obstacle(Section section);
OnModuleSpec read_on_module(Section section);

}  // namespace scene
