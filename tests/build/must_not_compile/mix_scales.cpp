#include "heatrow/core/units.hpp"

// Kelvin and Celsius do not subtract without a conversion.
auto difference() {
    return heatrow::Kelvin(300.0) - heatrow::Celsius(20.0);
}
