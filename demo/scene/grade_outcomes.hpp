// Surveys and layouts that are wrong, and whether the analysis said so.
#pragma once

#include "grade_input.hpp"

namespace scene {

struct OutcomeSums {
    int to_refuse = 0;  // surveys that a right analysis refuses
    int to_refuse_refused = 0;
    int to_answer = 0;  // all others
    int to_answer_refused = 0;
    int wrong_parts = 0;  // of layouts
    int wrong_parts_told = 0;
    int wrong_modules = 0;       // in them, seen wholly
    int wrong_modules_left = 0;  // that no view names
};

// Adds one survey's, refused or not.
void add_outcomes(OutcomeSums& sums, const GradeInput& input);

}  // namespace scene
