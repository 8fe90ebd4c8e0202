// How modules warm: [heat] of scene.toml.
#pragma once

namespace scene {

class Section;

struct HeatSpec {
    double u0 = 25.0;  // W/m2K, Faiman
    double u1 = 6.84;  // W s/m3K
    double absorption = 0.9;
    double time_constant_s = 300.0;
    double module_spread_k = 0.6;
    double cell_spread_k = 0.4;
    double edge_cooling_k = 0.8;
    double edge_depth_m = 0.06;
    double box_warming_k = 1.0;
    double box_sigma_m = 0.05;
    double slope_warming_k_per_m = 0.3;
    double lateral_sigma_m = 0.025;
    double bypass_box_k = 3.0;  // extra warming of the box whose diode conducts
};

HeatSpec read_heat(Section section);

}  // namespace scene
