// The sky that a module mirrors.
#pragma once

#include "heatrow/core/units.hpp"

namespace heatrow {

// Broadband temperature of a clear sky, Swinbank: T_sky = 0.0552 T_air^1.5 in kelvin (from memory, M). In 8-14 um the
// zenith is colder still. A measured reflected temperature is always preferred.
Celsius swinbank_sky(Celsius air);

}  // namespace heatrow
