// What to look at when a finding is worked on: the words of the reports. Common practice, no source; local codes and
// qualified people decide. What kind of work it is stands in work_list.hpp.
#pragma once

#include "heatrow/core/finding.hpp"

#include <string_view>

namespace heatrow {

std::string_view advice_for(Pattern pattern);

}  // namespace heatrow
