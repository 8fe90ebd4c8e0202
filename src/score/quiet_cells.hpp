// Cells of a branch that nothing hot touches: its level and whether its cells are alike, whatever lies on the others.
#pragma once

#include "survey_state.hpp"

#include <vector>

namespace heatrow {

struct QuietLevels {
    std::vector<double>
        rise_k;               // per cell, above the median of the quiet cells of its branch; NaN without a temperature
    std::vector<int> branch;  // per cell, an index over all branches of the module; -1: in none
    std::vector<char> is_even;  // per such branch: its quiet cells are alike (even_probability above a half)
};

// Hot are cells `candidate_cell_k` above their branch's level; quiet are those neither hot nor around a hot one. The
// level is theirs, in rounds that begin at the third coolest tenth, so that a branch of which half is covered keeps the
// level of the rest. A branch with fewer than four quiet cells in ten is not even; its level is the median of all.
QuietLevels quiet_levels(const ScoreInput& input, const SurveyState& state, const ModuleState& module);

}  // namespace heatrow
