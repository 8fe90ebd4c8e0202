// The sheet of glass and cells that a module's front is made of, as far as heat that spreads sideways in it goes.
#pragma once

#include "heatrow/core/units.hpp"

namespace heatrow {

// In-plane conductance is the sum of conductivity times thickness over the layers. The values that stand here are of a
// module with one pane of 3.2 mm and 0.17 mm wafers, 2 mm apart (common practice, no source): soda-lime glass 1.0 W/mK,
// silicon 148 W/mK at 300 K, encapsulant 0.9 mm of 0.35 W/mK (handbook values, from memory).
struct CellSheet {
    double beside_cells_w_k = 0.0035;  // glass and encapsulant alone
    double within_cells_w_k = 0.0287;  // with the wafer
    Metres cell_gap{0.002};
    // To the air from both sides: 0.7 (absorbed less exported) of Faiman's 25 + 6.84 v W/m2K at 2 m/s (Koehl et al.
    // 2011).
    double loss_w_m2k = 27.1;
};

}  // namespace heatrow
