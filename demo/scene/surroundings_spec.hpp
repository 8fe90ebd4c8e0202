// What lies around the modules and is mirrored in them: [sky], [ground] and [[decoy]] of scene.toml.
#pragma once

#include <Eigen/Core>

#include <string>

namespace scene {

class Section;

struct SkySpec {
    double zenith_below_air_k = 45.0;
    double horizon_below_air_k = 3.0;
    double frame_emissivity = 0.3;
    double sun_azimuth_deg = 165.0;
    double sun_elevation_deg = 58.0;
};

struct GroundSpec {
    double above_air_k = 6.0;
    double texture_k = 1.5;
    double shade_k = 7.0;  // how much cooler where tables shade it
    double emissivity = 0.95;
};

struct DecoySpec {
    std::string kind;  // "animal", "box", "gravel"
    Eigen::Vector2d position_m{0.0, 0.0};
    double above_air_k = 14.0;
    double size_m = 1.0;
};

SkySpec read_sky(Section section);
GroundSpec read_ground(Section section);
DecoySpec read_decoy(Section section);

}  // namespace scene
