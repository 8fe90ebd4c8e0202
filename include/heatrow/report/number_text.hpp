// Numbers as text, the same on every machine and in every locale.
#pragma once

#include "heatrow/core/uncertain.hpp"

#include <string>

namespace heatrow {

// Fixed-point, '.' as the decimal mark, no exponent; "-0.0" is written "0.0"; empty for NaN and infinities.
std::string fixed_text(double value, int decimals);

// As fixed_text, without trailing zeros: "12.5", "12".
std::string short_text(double value, int max_decimals);

// With an explicit sign, for differences: "+12.3", a true minus sign for negative ones; "–" where unknown.
std::string signed_text(double value, int decimals);

// "+12.3 ± 0.8" with the half width of the 95 % interval; without it where the uncertainty is unknown.
std::string with_u95_text(const Uncertain<KelvinDelta>& value, int decimals);

}  // namespace heatrow
