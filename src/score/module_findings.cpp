#include "evidence_text.hpp"
#include "finding_losses.hpp"
#include "finding_parts.hpp"
#include "findings.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/score/scaling.hpp"
#include "string_cause.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

double base_rise_k(const ModuleState& module) {
    return module.reference ? module.base_c() - module.reference->level_c : kNaN;
}

double module_threshold_k(const ScoreInput& input, const SurveyState& state, const ModuleState& module) {
    return std::max(input.profile.candidate_module_k.value,
                    input.profile.candidate_sigma.value * module_u_k(state, module));
}

std::string reference_words(const ReferenceLevel& reference) {
    return "lower mode of " + count_words(reference.members, "like module") + " within " +
           number_words(std::ceil(reference.farthest_m), 0) + " m, " + std::to_string(reference.in_table) +
           " in its table";
}

// Two of three substrings of a module in shade make the third look warm. So a warm substring must stand out from the
// neighbours too where its siblings are cooler than these.
bool only_siblings_are_cool(const ScoreInput& input,
                            const SurveyState& state,
                            const ModuleState& module,
                            double rise_k) {
    if (!module.reference) {
        return false;
    }
    const double siblings = base_rise_k(module);
    return siblings < -module_threshold_k(input, state, module) &&
           siblings + rise_k < input.profile.candidate_substring_k.value;
}

// Hottest cell of the warm substrings, where one stands out; its rise is above its substring's level.
std::optional<HotCell> cell_in(const ScoreInput& input, const SurveyState& state, const ModuleState& module) {
    for (const auto& hot : hot_cells(input, state, module)) {
        if (module.is_warm(module.type->substring_of_cell[static_cast<std::size_t>(hot.cell)])) {
            return hot;
        }
    }
    return std::nullopt;
}

std::string substring_words(const std::vector<int>& substrings) {
    std::string words = substrings.size() == 1 ? "Substring " : "Substrings ";
    for (std::size_t i = 0; i < substrings.size(); ++i) {
        words += (i == 0 ? "" : " and ") + std::to_string(substrings[i]);
    }
    return words + (substrings.size() == 1 ? " is " : " are ");
}

// A much hotter cell in a warm substring is part of one finding; its own difference may give the higher class.
std::string add_cell_to_substring(
    const ScoreInput& input, const ModuleState& module, const HotCell& hot, double rise_k, Finding& finding) {
    finding.cells = {module.type->cell_at(hot.cell)};
    finding.pattern_second = Pattern::substring_bypassed_by_cell;
    const auto above_healthy = with_cell_terms(input, module, hot.rise_k + rise_k, hot.measured_u_k);
    const auto& rule = *input.profile.rule(Pattern::hot_cell);
    const auto scaled = scale_to_1000(above_healthy, scaling_irradiance(finding.conditions), rule);
    const auto decision = classify(scaled, rule);
    std::string words = "; cell " + to_string(finding.cells.front()) + " in it is " + difference_words(above_healthy) +
                        " above the healthy cells";
    if (decision.abnormality > finding.abnormality) {
        finding.abnormality = decision.abnormality;
        finding.class_probability = decision.probability;
        words += ", " + difference_words(scaled) + " at 1000 W/m2, and by the rule of single cells sets the class";
    }
    return words;
}

void add_substring_finding(const ScoreInput& input,
                           const SurveyState& state,
                           const ModuleState& module,
                           std::vector<Finding>& findings) {
    std::vector<double> rises;
    for (const int substring : module.warm_substrings) {
        rises.push_back(module.substring_k[static_cast<std::size_t>(substring - 1)] - module.base_k);
    }
    const double rise = median_of(rises);
    if (only_siblings_are_cool(input, state, module, rise)) {
        return;
    }
    Finding finding = begin_finding(input, module, Pattern::substring_bypassed);
    finding.substrings = module.warm_substrings;
    const double u = substring_u_k(state, module);
    finding.delta_t = with_relative_terms(input, rise, u);
    finding.t_reference = Celsius(module.base_c());
    finding.t_hot = finding.t_reference + finding.delta_t.value;
    finding.reference = "median of " + count_words(module.base_cells, "cell") + " of its sibling substrings";
    scale_and_classify(input, finding);
    const double is_warm = normal_cdf((rise - input.profile.candidate_substring_k.value) / u);
    const double siblings_are_not =
        module.reference
            ? normal_cdf((module_threshold_k(input, state, module) - base_rise_k(module)) / module_u_k(state, module))
            : 1.0;
    finding.pattern_probability = is_warm * siblings_are_not;
    finding.pattern_second = Pattern::open_circuit_module;
    finding.evidence = substring_words(finding.substrings) + difference_words(finding.delta_t) + " above the " +
                       finding.reference + scaled_words(finding);
    if (const auto hot = cell_in(input, state, module)) {
        finding.evidence += add_cell_to_substring(input, module, *hot, rise, finding);
    } else {
        finding.evidence +=
            "; no cell of it stands out by " + number_words(input.profile.candidate_cell_k.value, 1) + " K";
    }
    finding.evidence += "; " + count_words(static_cast<int>(finding.frames.size()), "frame") +
                        "; the difference does not tell the cause.";
    findings.push_back(std::move(finding));
}

double spread_between_cells_k(const ModuleState& module) {
    return robust_sigma(module.difference_k);
}

// Evenly warm against patchwork, from the spread s between the cells: the likelihoods of s for standard deviations
// sigma (healthy) and ratio * sigma. Cells of one module are not independent; they count as kIndependentCells at most.
constexpr double kIndependentCells = 8.0;

double even_probability(const ScoreInput& input, const SurveyState& state, const ModuleState& module) {
    const double ratio = input.profile.patchwork_spread_ratio.value;
    const double z = spread_between_cells_k(module) / state.group_of(module).cell_spread_k;
    const double n = std::min(kIndependentCells, static_cast<double>(module.base_cells));
    const double log_even = -0.5 * n * z * z;
    const double log_patchwork = -0.5 * n * z * z / (ratio * ratio) - n * std::log(ratio);
    return 1.0 / (1.0 + std::exp(log_patchwork - log_even));
}

void add_whole_module_finding(const ScoreInput& input,
                              const SurveyState& state,
                              const ModuleState& module,
                              std::vector<Finding>& findings) {
    const double rise = base_rise_k(module);
    const double u = module_u_k(state, module);
    Finding finding = begin_finding(input, module, Pattern::open_circuit_module);
    finding.delta_t = with_relative_terms(input, rise, u);
    finding.t_reference = Celsius(module.reference->level_c);
    finding.t_hot = Celsius(module.base_c());
    finding.reference = reference_words(*module.reference);
    scale_and_classify(input, finding);
    const double even = even_probability(input, state, module);
    finding.pattern_probability = even * normal_cdf((rise - input.profile.candidate_module_k.value) / u);
    finding.pattern_second = Pattern::short_circuited_module;
    finding.evidence = "The whole module is " + difference_words(finding.delta_t) + " above the " + finding.reference +
                       scaled_words(finding) + "; spread between its cells " +
                       number_words(spread_between_cells_k(module), 1) + " K, of healthy modules " +
                       number_words(state.group_of(module).cell_spread_k, 1) + " K; " +
                       count_words(static_cast<int>(finding.frames.size()), "frame") + ".";
    findings.push_back(std::move(finding));
}

std::vector<int> all_frames(const SurveyState& state, const StringState& string) {
    std::vector<int> frames;
    for (const int module : string.seen) {
        const auto& own = state.modules[static_cast<std::size_t>(module)].input->fused.frames;
        frames.insert(frames.end(), own.begin(), own.end());
    }
    std::sort(frames.begin(), frames.end());
    frames.erase(std::unique(frames.begin(), frames.end()), frames.end());
    return frames;
}

void add_string_finding(const ScoreInput& input, const SurveyState& state, int index, std::vector<Finding>& findings) {
    const auto& string = state.strings[static_cast<std::size_t>(index)];
    const auto& first = state.modules[static_cast<std::size_t>(string.seen.front())];
    const StringCause cause = cause_of_warm_string(input, index);
    Finding finding = begin_finding(input, first, cause.pattern);
    finding.module = -1;
    finding.string = index;
    finding.candidates.clear();
    std::vector<FrameConditions> conditions;
    for (const int module : string.seen) {
        const auto& own = *state.modules[static_cast<std::size_t>(module)].input;
        conditions.push_back(own.conditions);
        finding.time = std::min(finding.time, own.time);
        finding.flags |= own.fused.flags;
    }
    finding.conditions = mean_conditions(conditions);
    finding.flags |= finding.conditions.flags;
    finding.frames = all_frames(state, string);
    const double u = string_u_k(state, string);
    finding.delta_t = with_relative_terms(input, string.rise_k(), u);
    finding.t_reference = Celsius(string.reference->level_c);
    finding.t_hot = Celsius(string.level_c);
    finding.reference = "lower mode of " + count_words(string.reference->members, "like module") +
                        " of other strings within " + number_words(std::ceil(string.reference->farthest_m), 0) + " m";
    scale_and_classify(input, finding);
    const double is_warm = normal_cdf((string.rise_k() - input.profile.candidate_string_k.value) / u);
    finding.pattern_probability = is_warm * string.warm_share * cause.probability;
    finding.pattern_second = cause.second;
    const auto seen = static_cast<int>(string.seen.size());
    const auto size = static_cast<int>(input.layout.strings[static_cast<std::size_t>(index)].modules.size());
    finding.evidence = "The string, " + std::to_string(seen) + " of its " + count_words(size, "module") + " seen, is " +
                       difference_words(finding.delta_t) + " above the " + finding.reference + scaled_words(finding) +
                       "; " + number_words(100.0 * string.warm_share, 0) +
                       " % of its modules share more than half of the rise. " + cause.words +
                       "; cell faults in it are not assessed.";
    findings.push_back(std::move(finding));
}

}  // namespace

void add_module_findings(const ScoreInput& input,
                         const SurveyState& state,
                         const ModuleState& module,
                         std::vector<Finding>& findings) {
    if (!module.warm_substrings.empty()) {
        add_substring_finding(input, state, module, findings);
    }
    if (module.reference && base_rise_k(module) >= module_threshold_k(input, state, module)) {
        add_whole_module_finding(input, state, module, findings);
    }
}

std::vector<Finding> find_patterns(const ScoreInput& input, const SurveyState& state) {
    std::vector<Finding> findings;
    for (std::size_t s = 0; s < state.strings.size(); ++s) {
        if (state.strings[s].is_warm) {
            add_string_finding(input, state, static_cast<int>(s), findings);
        }
    }
    for (const auto& module : state.modules) {
        const bool judged = module.unassessed.empty() || module.unassessed == reason::kAmbiguous;
        if (module.has_levels && judged && !module.in_warm_string) {
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
