#include "heatrow/core/units.hpp"

// A bare number is no length.
heatrow::Metres length() {
    return 2.0;
}
