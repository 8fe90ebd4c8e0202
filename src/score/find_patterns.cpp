#include "finding_losses.hpp"
#include "finding_parts.hpp"
#include "findings.hpp"
#include "string_cause.hpp"

#include <algorithm>

namespace heatrow {

std::vector<Finding> find_patterns(const ScoreInput& input, const SurveyState& state) {
    std::vector<Finding> findings;
    for (std::size_t s = 0; s < state.strings.size(); ++s) {
        if (state.strings[s].is_warm) {
            add_string_finding(input, state, static_cast<int>(s), findings);
        }
    }
    for (const auto& module : state.modules) {
        if (module.has_levels && module.is_judged() && !module.in_warm_string) {
            add_module_findings(input, state, module, findings);
            add_cell_findings(input, state, module, findings);
        }
    }
    for (auto& finding : findings) {
        if (const std::string load = load_words(finding.conditions); finding.module >= 0 && !load.empty()) {
            finding.evidence.insert(finding.evidence.size() - 1, "; " + load);  // before the full stop
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
