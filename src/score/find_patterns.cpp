#include "evidence_text.hpp"
#include "finding_losses.hpp"
#include "finding_parts.hpp"
#include "findings.hpp"
#include "string_cause.hpp"

#include <algorithm>

namespace heatrow {
namespace {

// What is not seen of it; empty where a frame shows all.
std::string part_words(const ModuleState& module) {
    if (!module.is_seen_in_part()) {
        return {};
    }
    return "no frame shows the whole module, only " + std::to_string(module.cells_seen()) + " of its " +
           count_words(module.type->cell_count(), "cell");
}

// One physical thing, one finding: what explains more goes first and takes what it explains with it.
void judge_module(const ScoreInput& input,
                  const SurveyState& state,
                  const ModuleState& module,
                  bool is_degraded,
                  std::vector<Finding>& findings) {
    if (add_cool_finding(input, state, module, findings)) {
        return;
    }
    Explained explained;
    explained.whole_module = is_degraded;
    if (may_show_patchwork(state, module)) {
        if (const auto patchwork = patchwork_of(input, state, module); patchwork && patchwork->is_steady) {
            if (is_degraded || add_patchwork_finding(input, state, module, *patchwork, findings)) {
                return;
            }
        }
        if (const auto dirt = dirt_patch(input, state, module)) {
            add_dirt_finding(input, module, *dirt, findings);
            explained.substrings = dirt->substrings;
        }
        if (const auto box = hot_box(input, state, module)) {
            add_box_finding(input, state, module, *box, findings);
            explained.cells = box->cells;
        }
    }
    add_module_findings(input, state, module, explained, findings);
    add_cell_findings(input, state, module, explained, findings);
}

}  // namespace

bool Explained::has_substring(int substring) const {
    return std::find(substrings.begin(), substrings.end(), substring) != substrings.end();
}

bool Explained::has_cell(int cell) const {
    return std::find(cells.begin(), cells.end(), cell) != cells.end();
}

std::vector<Finding> find_patterns(const ScoreInput& input, const SurveyState& state) {
    std::vector<Finding> findings;
    for (std::size_t s = 0; s < state.strings.size(); ++s) {
        if (state.strings[s].is_warm) {
            add_string_finding(input, state, static_cast<int>(s), findings);
        }
    }
    std::vector<char> degraded(state.modules.size(), 0);
    for (std::size_t s = 0; s < state.strings.size(); ++s) {
        if (const auto degradation = degradation_of(input, state, static_cast<int>(s))) {
            add_degradation_finding(input, state, *degradation, findings);
            for (const int module : degradation->modules) {
                degraded[static_cast<std::size_t>(module)] = 1;
            }
        }
    }
    for (std::size_t i = 0; i < state.modules.size(); ++i) {
        const auto& module = state.modules[i];
        if (module.has_levels && module.is_judged() && !module.in_warm_string) {
            judge_module(input, state, module, degraded[i] != 0, findings);
        }
    }
    for (auto& finding : findings) {
        calibrate_probability(finding);
        weigh_runner_up(input, finding);
        if (finding.module < 0) {
            continue;
        }
        const auto& module = state.modules[static_cast<std::size_t>(finding.module)];
        for (const std::string& words : {part_words(module), load_words(finding.conditions)}) {
            if (!words.empty()) {
                finding.evidence.insert(finding.evidence.size() - 1, "; " + words);  // before the full stop
            }
        }
    }
    set_losses(input, findings);
    for (auto& finding : findings) {
        finding.id = finding_id(finding.module >= 0 ? input.layout.modules[static_cast<std::size_t>(finding.module)].id
                                                    : input.layout.strings[static_cast<std::size_t>(finding.string)].id,
                                finding);
    }
    std::sort(findings.begin(), findings.end(), [](const Finding& a, const Finding& b) {
        if (a.abnormality != b.abnormality) {
            return a.abnormality > b.abnormality;
        }
        if (a.delta_t_1000.value != b.delta_t_1000.value) {
            return a.delta_t_1000.value > b.delta_t_1000.value;
        }
        return a.id < b.id;
    });
    return findings;
}

}  // namespace heatrow
