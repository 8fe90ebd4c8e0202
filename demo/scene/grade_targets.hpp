// The targets of the design beside what was measured.
#pragma once

#include "grade_cases.hpp"
#include "grade_mirrors.hpp"
#include "grade_outcomes.hpp"
#include "grade_table.hpp"
#include "grade_views.hpp"

#include <vector>

namespace scene {

// Everything that was counted over the surveys of one grade.
struct GradeSums {
    ViewSums views;
    Cases cases;
    MirrorSums mirrors;
    OutcomeSums outcomes;
    ClassRules rules;  // empty = no profile given
    int surveys = 0;
    int frames = 0;
    std::vector<std::string> refused;  // surveys that ended without a result, and why
};

// One row a target; "not graded: why" where there is nothing to grade.
GradeTable target_table(const GradeSums& sums);
GradeTable outcome_table(const GradeSums& sums);  // of surveys and layouts that are wrong; empty without any
GradeTable confusion_table(const Cases& cases);
GradeTable recall_table(const Cases& cases);          // against difference over sigma
GradeTable pattern_table(const Cases& cases);         // recall, differences and intervals by pattern
GradeTable pixel_table(const Cases& cases);           // the same for single cells, by pixels across the cell
GradeTable calibration_table(const GradeSums& sums);  // stated probabilities of the class

// Shared by the tables.
inline constexpr double kU95 = 1.959963985;  // half width of a 95 % interval over the standard uncertainty
// The errors of differences in frame or at 1000 W/m2, of findings whose pattern is right or merged.
struct DifferenceErrors {
    std::vector<double> errors_k;
    std::vector<double> truths_k;
    std::vector<double> over_u;  // errors over their stated standard uncertainty
    int covered = 0;             // by the stated 95 % interval
    int with_interval = 0;
};
enum class Scale { in_frame, at_1000 };
template <class Chosen>
DifferenceErrors difference_errors(const Cases& cases, Scale scale, Chosen chosen);

Figure macro_f1(const Cases& cases);

template <class Chosen>
DifferenceErrors difference_errors(const Cases& cases, Scale scale, Chosen chosen) {
    DifferenceErrors result;
    for (const FaultCase& item : cases.faults) {
        if (!item.fault.in_scope || !item.finding || item.label == LabelVerdict::wrong || !chosen(item)) {
            continue;
        }
        const bool scaled = scale == Scale::at_1000;
        const double truth = scaled ? item.true_delta_t_1000_k() : item.true_delta_t_k();
        const double error = (scaled ? item.finding->delta_t_1000_k : item.finding->delta_t_k) - truth;
        const double half_width = scaled ? item.finding->delta_t_1000_u95_k : item.finding->delta_t_u95_k;
        if (error != error) {  // not stated
            continue;
        }
        result.errors_k.push_back(error);
        result.truths_k.push_back(truth);
        if (half_width == half_width) {
            ++result.with_interval;
            result.over_u.push_back(kU95 * error / half_width);
            result.covered += error <= half_width && error >= -half_width ? 1 : 0;
        }
    }
    return result;
}

}  // namespace scene
