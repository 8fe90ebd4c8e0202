#include "heat_spec.hpp"

#include "toml_section.hpp"

namespace scene {

HeatSpec read_heat(Section section) {
    HeatSpec heat;
    heat.u0 = section.number("u0", heat.u0);
    heat.u1 = section.number("u1", heat.u1);
    heat.absorption = section.number("absorption", heat.absorption);
    heat.power_coefficient_per_k = section.number("power_coefficient_per_k", heat.power_coefficient_per_k);
    heat.time_constant_s = section.number("time_constant_s", heat.time_constant_s);
    heat.module_spread_k = section.number("module_spread_k", heat.module_spread_k);
    heat.cell_spread_k = section.number("cell_spread_k", heat.cell_spread_k);
    heat.cell_light_spread = section.number("cell_light_spread", heat.cell_light_spread);
    heat.cell_leak_spread = section.number("cell_leak_spread", heat.cell_leak_spread);
    heat.glass_mm = section.number("glass_mm", heat.glass_mm);
    heat.silicon_mm = section.number("silicon_mm", heat.silicon_mm);
    heat.encapsulant_mm = section.number("encapsulant_mm", heat.encapsulant_mm);
    heat.ribbon_w_k = section.number("ribbon_w_k", heat.ribbon_w_k);
    heat.cell_gap_m = section.number("cell_gap_m", heat.cell_gap_m);
    heat.gap_heat_share = section.number("gap_heat_share", heat.gap_heat_share);
    heat.frame_loss_w_mk = section.number("frame_loss_w_mk", heat.frame_loss_w_mk);
    heat.rail_hindrance = section.number("rail_hindrance", heat.rail_hindrance);
    heat.rail_width_m = section.number("rail_width_m", heat.rail_width_m);
    heat.box_warming_k = section.number("box_warming_k", heat.box_warming_k);
    heat.box_sigma_m = section.number("box_sigma_m", heat.box_sigma_m);
    heat.slope_warming_k_per_m = section.number("slope_warming_k_per_m", heat.slope_warming_k_per_m);
    heat.row_end_cooling_k = section.number("row_end_cooling_k", heat.row_end_cooling_k);
    heat.row_end_depth_m = section.number("row_end_depth_m", heat.row_end_depth_m);
    heat.bypass_box_k = section.number("bypass_box_k", heat.bypass_box_k);
    section.finish();
    return heat;
}

}  // namespace scene
