#include "heatrow/core/units.hpp"

// Two absolute temperatures have no sum.
auto sum() {
    return heatrow::Celsius(20.0) + heatrow::Celsius(30.0);
}
