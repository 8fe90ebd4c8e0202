// Invented thermal pictures of the findings of the invented survey.
#pragma once

#include "heatrow/record/survey_record.hpp"

#include <vector>

namespace heatrow::testing {

// One for every finding on a module: a warm rectangle on a cooler one.
std::vector<FindingCrop> sample_crops(const SurveyRecord& record);

}  // namespace heatrow::testing
