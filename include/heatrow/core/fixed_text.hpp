// Numbers as text, the same on every machine and in every locale.
#pragma once

#include <string>

namespace heatrow {

// Fixed-point, '.' as the decimal mark, no exponent; "-0.0" is written "0.0"; empty for NaN and infinities.
std::string fixed_text(double value, int decimals);

}  // namespace heatrow
