#include "heat_spec.hpp"

#include "toml_section.hpp"

namespace scene {

HeatSpec read_heat(Section section) {
    HeatSpec heat;
    heat.u0 = section.number("u0", heat.u0);
    heat.u1 = section.number("u1", heat.u1);
    heat.absorption = section.number("absorption", heat.absorption);
    heat.time_constant_s = section.number("time_constant_s", heat.time_constant_s);
    heat.module_spread_k = section.number("module_spread_k", heat.module_spread_k);
    heat.cell_spread_k = section.number("cell_spread_k", heat.cell_spread_k);
    heat.edge_cooling_k = section.number("edge_cooling_k", heat.edge_cooling_k);
    heat.edge_depth_m = section.number("edge_depth_m", heat.edge_depth_m);
    heat.box_warming_k = section.number("box_warming_k", heat.box_warming_k);
    heat.box_sigma_m = section.number("box_sigma_m", heat.box_sigma_m);
    heat.slope_warming_k_per_m = section.number("slope_warming_k_per_m", heat.slope_warming_k_per_m);
    heat.lateral_sigma_m = section.number("lateral_sigma_m", heat.lateral_sigma_m);
    heat.bypass_box_k = section.number("bypass_box_k", heat.bypass_box_k);
    section.finish();
    return heat;
}

}  // namespace scene
