// An invented survey with every state that an output must show: classes, not seen, ambiguous, not assessed, ids that
// try to be markup, formulas or paths.
#pragma once

#include "heatrow/record/survey_record.hpp"

namespace heatrow::testing {

struct SampleOptions {
    int strings = 2;
    int modules_per_string = 12;
    bool hostile_ids = true;
};

// Passes first_breach. The first string has full cells, the others in turn half cells and full ones.
SurveyRecord sample_record(const SampleOptions& options = {});

}  // namespace heatrow::testing
