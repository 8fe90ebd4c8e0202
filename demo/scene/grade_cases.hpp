// True faults with what became of each, and findings where there is no fault: what most tables are counted from.
#pragma once

#include "class_rules.hpp"
#include "grade_input.hpp"
#include "pattern_labels.hpp"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace scene {

struct FaultCase {
    std::string where;  // survey, fault and place, for the reader
    Abnormality fault;
    std::optional<Abnormality> finding;
    LabelVerdict label = LabelVerdict::wrong;  // of the finding
    double sigma_k = 0.0;   // scatter of healthy objects of its level at 1000 W/m2 as measured; NaN = not known
    double width_px = 0.0;  // of a cell; NaN = never wholly in view
    double height_px = 0.0;
    bool half_cut = false;  // cells less than 0.75 times as high as wide, or the other way round
    int whole_views = 0;
    double best_in_frame_k = 0.0;  // standard error of the best estimator of one cell's difference; NaN = not known

    // What the finding's difference stands for: of a part that it calls by the wider name, the mean over the cell.
    [[nodiscard]] double true_delta_t_k() const { return of_cell() ? fault.cell_delta_t_k : fault.delta_t_k; }
    [[nodiscard]] double true_delta_t_1000_k() const {
        return of_cell() ? fault.cell_delta_t_1000_k : fault.delta_t_1000_k;
    }
    [[nodiscard]] bool of_cell() const;
    [[nodiscard]] double short_side_px() const { return width_px < height_px ? width_px : height_px; }
};

struct FalseFinding {
    std::string where;
    Abnormality finding;
};

struct Cases {
    std::vector<FaultCase> faults;  // without decoys
    std::vector<FalseFinding> false_findings;
    int findings = 0;
    int beside = 0;  // findings that lie on a fault matched already, or in a warm string
    int modules = 0;
    std::vector<double> healthy_cell_errors_k;  // as measured minus true, cells of modules without a fault
};

// Adds one survey's. Surveys that were refused must not be given.
void add_cases(Cases& cases, const GradeInput& input);

}  // namespace scene
