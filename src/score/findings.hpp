// Patterns from differences.
#pragma once

#include "survey_state.hpp"

#include <vector>

namespace heatrow {

// Every finding of the survey, by class, scaled difference and id (docs/patterns.md). Modules that take no part make
// none, save ambiguous ones.
std::vector<Finding> find_patterns(const ScoreInput& input, const SurveyState& state);

// Parts of the above: for one string that is warm as a whole, and for one module.
void add_string_finding(const ScoreInput& input, const SurveyState& state, int index, std::vector<Finding>& findings);
void add_module_findings(const ScoreInput& input,
                         const SurveyState& state,
                         const ModuleState& module,
                         std::vector<Finding>& findings);
void add_cell_findings(const ScoreInput& input,
                       const SurveyState& state,
                       const ModuleState& module,
                       std::vector<Finding>& findings);

// What is warm in a module whose substrings the predicted shade touches.
struct ShadeEffect {
    std::vector<int> substrings;  // warm ones that it touches, from 1; empty: none is warm
    bool whole_module = false;    // against like modules, since no substring has all its light
    double rise_k = 0.0;
    double u_k = 0.0;
    double candidate_k = 0.0;  // least rise that is reported
    double reference_c = kNaN;
    std::string reference;  // in words
};
// At most one finding of pattern `shading`; none where nothing is warm. Precondition: the module has predicted shade.
void add_shade_finding(const ScoreInput& input,
                       const SurveyState& state,
                       const ModuleState& module,
                       const ShadeEffect& effect,
                       std::vector<Finding>& findings);
// How much was not assessed for it; empty where none was.
std::string note_on_shade(const SurveyState& state);

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
