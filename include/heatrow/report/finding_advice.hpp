// What to look at when a finding is worked on: the words of the reports. Common practice, no source; local codes and
// qualified people decide. It says the same as the kind of work in work_list.hpp.
#pragma once

#include "heatrow/core/finding.hpp"

#include <string>
#include <string_view>

namespace heatrow {

std::string_view advice_for(Pattern pattern);

// The same with the caution that belongs to the finding.
std::string advice_text(const Finding& finding);

}  // namespace heatrow
