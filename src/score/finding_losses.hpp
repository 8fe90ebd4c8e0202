// What each finding costs.
#pragma once

#include "heatrow/score/score.hpp"

#include <vector>

namespace heatrow {

// Fills in the losses of the patterns that have one (docs/loss.md): now, at rated conditions, and a year by the site's
// yield. The others keep NaN: thermal differences do not tell them.
void set_losses(const ScoreInput& input, std::vector<Finding>& findings);

}  // namespace heatrow
