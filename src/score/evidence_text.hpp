// Numbers in evidence sentences, the same in every locale.
#pragma once

#include "heatrow/core/uncertain.hpp"

#include <string>

namespace heatrow {

// "14.2", "-0.3"; "unknown" where it is.
std::string number_words(double value, int decimals);
// "14.2 K ± 1.1 K", the second figure the half width of the 95 % interval.
std::string difference_words(const Uncertain<KelvinDelta>& value);
// "12 modules", "1 module".
std::string count_words(int count, const std::string& noun);

}  // namespace heatrow
