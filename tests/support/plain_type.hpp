// A module type of two cells, for layouts whose types do not matter: "plain", 1.0 m x 1.6 m.
#pragma once

namespace heatrow::testing {

inline constexpr const char* kPlainType = R"(id = "plain"
width_m = 1.0
height_m = 1.6
rows = 2
columns = 1
cell_area_m = { left = 0.02, top = 0.02, width = 0.96, height = 1.56 }
rated_power_w = 270.0
rated_voltage_v = 31.0
rated_current_a = 8.8
short_circuit_current_a = 9.3
[[substring]]
cells = ["r1c1:r2c1"]
)";

}  // namespace heatrow::testing
