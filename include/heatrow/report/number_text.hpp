// Numbers as the report writes them.
#pragma once

#include "heatrow/core/fixed_text.hpp"
#include "heatrow/core/uncertain.hpp"

#include <string>

namespace heatrow {

// As fixed_text, without trailing zeros: "12.5", "12".
std::string short_text(double value, int max_decimals);

// With an explicit sign, for differences: "+12.3", a true minus sign for negative ones; "–" where unknown.
std::string signed_text(double value, int decimals);

// "+12.3 ± 0.8" with the half width of the 95 % interval; without it where the uncertainty is unknown.
std::string with_u95_text(const Uncertain<KelvinDelta>& value, int decimals);

}  // namespace heatrow
