// Why a substring is warm, from its cells and its junction box (docs/patterns.md).
#pragma once

#include "findings.hpp"

#include <string>
#include <vector>

namespace heatrow {

struct SubstringCause {
    Pattern pattern = Pattern::substring_bypassed;
    Pattern second = Pattern::open_circuit_module;
    double probability = 1.0;  // of the pattern, given that the substrings are warm
    int hot_cell = -1;         // the one cell that stands out of an even branch, or else the hottest that stands out
    double hot_cell_k = 0.0;   // above the level of its branch
    std::string words;         // a clause of evidence
};

// Where none of the causes is likely enough (`cause_named_from`) the merged name stands, and the words name those open.
SubstringCause cause_of_warm_substrings(const ScoreInput& input,
                                        const SurveyState& state,
                                        const ModuleState& module,
                                        const std::vector<int>& substrings);

}  // namespace heatrow
