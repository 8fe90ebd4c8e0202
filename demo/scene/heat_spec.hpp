// How modules warm: [heat] of scene.toml.
#pragma once

namespace scene {

class Section;

struct HeatSpec {
    double u0 = 25.0;  // W/m2K, Faiman
    double u1 = 6.84;  // W s/m3K
    double absorption = 0.9;
    double power_coefficient_per_k = -0.0037;  // of the efficiency, over 25 degC
    double time_constant_s = 300.0;
    double module_spread_k = 0.6;
    double cell_spread_k = 0.4;       // of the cells' means
    double cell_light_spread = 0.01;  // of photocurrents, shares
    double cell_leak_spread = 0.7;    // of the logarithm of shunt resistances
    // The sheet.
    double glass_mm = 3.2;
    double silicon_mm = 0.18;
    double encapsulant_mm = 1.2;  // all polymer layers together
    double ribbon_w_k = 0.0025;   // conductance a square of all ribbons, along the columns
    double cell_gap_m = 0.003;
    double gap_heat_share = 0.6;  // heat beside the cells over that in them
    // The healthy template.
    double frame_loss_w_mk = 0.05;  // of the rim, on top of its share of the front
    double rail_hindrance = 0.05;   // share of the loss that a rail takes away above itself
    double rail_width_m = 0.04;
    double box_warming_k = 1.0;  // at each junction box, before it spreads
    double box_sigma_m = 0.04;
    double slope_warming_k_per_m = 0.3;
    double row_end_cooling_k = 0.8;
    double row_end_depth_m = 1.5;
    double bypass_box_k = 4.0;  // extra at the box whose diode carries the string's current, before it spreads
};

HeatSpec read_heat(Section section);

}  // namespace scene
