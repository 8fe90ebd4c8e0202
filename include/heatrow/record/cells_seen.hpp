// How much of a module the frames show.
#pragma once

#include "heatrow/record/survey_record.hpp"

namespace heatrow {

// Number of its cells with a temperature.
int cells_seen(const ModuleResult& result);

}  // namespace heatrow
