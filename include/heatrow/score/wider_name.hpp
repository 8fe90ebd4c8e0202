// Which rule judges a pattern that the profile gives none of its own.
#pragma once

#include "heatrow/core/finding.hpp"

namespace heatrow {

// The wider name that a pattern is a case of, for which every profile has a rule (first_problem in score/profile.hpp).
Pattern wider_name(Pattern pattern);

}  // namespace heatrow
