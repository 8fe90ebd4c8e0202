// A string of three modules of one type: healthy, a substring warm, a hot cell.
#pragma once

#include "heatrow/record/survey_record.hpp"

namespace heatrow::testing {

// Passes first_breach.
SurveyRecord record_of_type(const ModuleType& type);

}  // namespace heatrow::testing
