// The profile's limits on conditions in words, as the record keeps them.
#pragma once

#include "heatrow/record/survey_record.hpp"
#include "heatrow/score/profile.hpp"

#include <vector>

namespace heatrow {

std::vector<LimitLine> limit_lines(const Profile& profile);

}  // namespace heatrow
