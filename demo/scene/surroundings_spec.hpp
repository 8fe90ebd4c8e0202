// What lies around the modules and is mirrored in them: [sky], [air], [operator], [ground] and [[decoy]] of scene.toml.
#pragma once

#include <Eigen/Core>

#include <string>
#include <vector>

namespace scene {

class Section;

// One cloud at a fixed place of the sky.
struct CloudSpec {
    double azimuth_deg = 180.0;
    double elevation_deg = 45.0;
    double width_deg = 10.0;
    double edge_deg = 3.0;
    double below_air_k = 8.0;  // apparent temperature
    double opacity = 1.0;
};

struct SkySpec {
    double zenith_below_air_k = 45.0;
    double horizon_below_air_k = 3.0;
    double frame_emissivity = 0.3;
    double sun_azimuth_deg = 165.0;
    double sun_elevation_deg = 58.0;
    bool sun_given = false;        // else from time and place
    double glint_lobe_deg = 3.0;   // full width at half height of the mirrored sun on the glass
    double frame_lobe_deg = 8.0;   // the same on the aluminium rims
    double module_lean_deg = 0.2;  // by which each module's normal leans about two axes, standard deviation
    double cloud_cover = 0.0;      // 0 to 1, of a layer with a random pattern
    double cloud_below_air_k = 8.0;
    double cloud_base_m = 1200.0;
    double cloud_size_m = 500.0;
    double cloud_edge = 0.25;  // softness: 0 = hard, 1 = hardly any cloud without a veil
    double cloud_speed_m_s = 6.0;
    double cloud_toward_deg = 60.0;
    std::vector<CloudSpec> clouds;
};

struct AirSpec {
    double relative_humidity = 0.4;  // 0 = no air between surface and camera
};

// Who holds the camera, mirrored in the glass.
struct OperatorSpec {
    bool present = true;  // with [handheld] only
    double height_m = 1.75;
    double width_m = 0.5;
    double clothes_above_air_k = 5.0;
    double skin_c = 33.0;
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
AirSpec read_air(Section section);
OperatorSpec read_operator(Section section);
GroundSpec read_ground(Section section);
DecoySpec read_decoy(Section section);

}  // namespace scene
