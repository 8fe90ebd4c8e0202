// What an analysis says of its own certainty, held against the truth: intervals, pattern and class probabilities.
#pragma once

#include "grade_targets.hpp"

#include <optional>
#include <vector>

namespace scene {

// A stated probability and whether what it was stated of came true.
struct StatedCase {
    double stated = 0.0;
    bool right = false;
};

// Of the pattern of every finding on a fault of its own (merged names are right) and of every false finding (wrong).
// Second findings on one fault are neither.
std::vector<StatedCase> stated_patterns(const Cases& cases);

// The class of a finding on a true fault whose pattern is right or merged, by the rule of its pattern.
struct ClassCase {
    StatedCase probability;
    double distance_u = 0.0;  // from the true difference to the nearest limit, in standard uncertainties
};
// Without those of substrings in which a hot cell sets the class, or would: the interval of that cell is not stated.
std::vector<ClassCase> class_cases(const GradeSums& sums);

// A share by bins of what was stated, with Brier score and expected calibration error under it.
GradeTable reliability_table(const std::string& title, const std::vector<StatedCase>& cases);

// By pattern: intervals in frame, at 1000 W/m2, and the latter without the exponent's share of them.
GradeTable interval_table(const GradeSums& sums);
GradeTable pattern_probability_table(const Cases& cases);
GradeTable class_table(const GradeSums& sums);

}  // namespace scene
