// Patterns from differences.
#pragma once

#include "survey_state.hpp"

#include <vector>

namespace heatrow {

// Every finding of the survey, by class, scaled difference and id (docs/patterns.md). Modules that take no part make
// none, save ambiguous ones.
std::vector<Finding> find_patterns(const ScoreInput& input, const SurveyState& state);

// For one module; parts of the above.
void add_module_findings(const ScoreInput& input,
                         const SurveyState& state,
                         const ModuleState& module,
                         std::vector<Finding>& findings);
void add_cell_findings(const ScoreInput& input,
                       const SurveyState& state,
                       const ModuleState& module,
                       std::vector<Finding>& findings);

// A cell that is hotter than the rest of its module, or of its substring where that is warm.
struct HotCell {
    int cell = 0;
    double rise_k = 0.0;
    double u_k = 0.0;           // with which a healthy cell differs: what makes a candidate
    double measured_u_k = 0.0;  // with which the rise was measured: what is stated of it
};
// Hottest first. Cells that a hotter neighbour may light up through blur are left out.
std::vector<HotCell> hot_cells(const ScoreInput& input, const SurveyState& state, const ModuleState& module);

}  // namespace heatrow
