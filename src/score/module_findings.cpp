#include "cell_spread.hpp"
#include "evidence_text.hpp"
#include "finding_parts.hpp"
#include "findings.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/score/scaling.hpp"
#include "substring_cause.hpp"

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

std::string substring_words(const std::vector<int>& substrings) {
    std::string words = substrings.size() == 1 ? "Substring " : "Substrings ";
    for (std::size_t i = 0; i < substrings.size(); ++i) {
        words += (i == 0 ? "" : " and ") + std::to_string(substrings[i]);
    }
    return words + (substrings.size() == 1 ? " is " : " are ");
}

// A much hotter cell in a warm substring is part of one finding; its own difference may give the higher class.
std::string add_cell_to_substring(
    const ScoreInput& input, const SurveyState& state, const ModuleState& module, int cell, Finding& finding) {
    finding.cells = {module.type->cell_at(cell)};
    const auto above_healthy = with_cell_terms(input,
                                               module,
                                               module.difference_k[static_cast<std::size_t>(cell)] - module.base_k,
                                               measured_cell_u_k(state, module, cell));
    const auto& rule = *input.profile.rule(Pattern::hot_cell);
    const auto scaled = scale_to_1000(above_healthy, scaling_irradiance(finding.conditions), rule);
    const auto decision = classify(scaled, rule);
    std::string words = "; cell " + to_string(finding.cells.front()) + " in it is " + difference_words(above_healthy) +
                        " above the healthy cells";
    if (decision.abnormality > finding.abnormality) {
        finding.abnormality = decision.abnormality;
        finding.class_probability = decision.probability;
        words += ", " + difference_words(scaled) + " at 1000 W/m², and by the rule of single cells sets the class";
    }
    return words;
}

// Median rise of these substrings over those that are not warm.
double substring_rise_k(const ModuleState& module, const std::vector<int>& substrings) {
    std::vector<double> rises;
    for (const int substring : substrings) {
        rises.push_back(module.substring_k[static_cast<std::size_t>(substring - 1)] - module.base_k);
    }
    return take_median(rises);
}

std::string sibling_words(const ModuleState& module) {
    return "median of " + count_words(module.base_cells, "cell") + " of its sibling substrings";
}

void add_substring_finding(const ScoreInput& input,
                           const SurveyState& state,
                           const ModuleState& module,
                           const std::vector<int>& substrings,
                           std::vector<Finding>& findings) {
    const double rise = substring_rise_k(module, substrings);
    if (only_siblings_are_cool(input, state, module, rise)) {
        return;
    }
    const SubstringCause cause = cause_of_warm_substrings(input, state, module, substrings);
    Finding finding = begin_finding(input, module, cause.pattern);
    finding.substrings = substrings;
    const double u = substring_u_k(state, module);
    finding.delta_t = with_relative_terms(input, rise, stated_substring_u_k(state, module));
    finding.t_reference = Celsius(module.base_c());
    finding.t_hot = finding.t_reference + finding.delta_t.value;
    finding.reference = sibling_words(module);
    scale_and_classify(input, finding);
    const double is_warm = normal_cdf((rise - input.profile.candidate_substring_k.value) / u);
    const double siblings_are_not =
        module.reference
            ? normal_cdf((module_threshold_k(input, state, module) - base_rise_k(module)) / module_u_k(state, module))
            : 1.0;
    finding.evidence = substring_words(finding.substrings) + difference_words(finding.delta_t) + " above the " +
                       finding.reference + scaled_words(finding);
    const double among = is_warm * siblings_are_not;
    finding.pattern_probability = among * cause.probability;
    finding.pattern_second = among < cause.probability ? Pattern::open_circuit_module : cause.second;
    if (cause.hot_cell >= 0) {
        finding.evidence += add_cell_to_substring(input, state, module, cause.hot_cell, finding);
    }
    finding.evidence += "; " + cause.words + "; " + count_words(static_cast<int>(finding.frames.size()), "frame") + ".";
    findings.push_back(std::move(finding));
}

// Substrings of which enough is in the picture.
std::vector<int> well_seen_substrings(const ModuleState& module) {
    std::vector<int> seen;
    for (int s = 1; s <= module.type->substring_count(); ++s) {
        if (module.is_well_seen(s)) {
            seen.push_back(s);
        }
    }
    return seen;
}

// Only some substrings of a module that the picture's border cuts are seen, and all that is seen is warm: the module
// is, or these are.
constexpr double kTheOtherIsAsLikely = 0.5;

void add_whole_module_finding(const ScoreInput& input,
                              const SurveyState& state,
                              const ModuleState& module,
                              std::vector<Finding>& findings) {
    const double rise = base_rise_k(module);
    const double u = module_u_k(state, module);
    const std::vector<int> seen = well_seen_substrings(module);
    const int substrings = module.type->substring_count();
    const bool is_open = static_cast<int>(seen.size()) < substrings;  // whether it is the module
    const bool mostly_seen = 2 * static_cast<int>(seen.size()) > substrings;
    Finding finding = begin_finding(
        input, module, mostly_seen || seen.empty() ? Pattern::open_circuit_module : Pattern::substring_bypassed);
    if (finding.pattern == Pattern::substring_bypassed) {
        finding.substrings = seen;
    }
    finding.delta_t = with_relative_terms(input, rise, stated_module_u_k(module));
    finding.t_reference = Celsius(module.reference->level_c);
    finding.t_hot = Celsius(module.base_c());
    finding.reference = reference_words(*module.reference);
    scale_and_classify(input, finding);
    const double even = even_probability(input, state, module, spread_between_cells_k(module), module.base_cells);
    finding.pattern_probability =
        even * normal_cdf((rise - input.profile.candidate_module_k.value) / u) * (is_open ? kTheOtherIsAsLikely : 1.0);
    finding.pattern_second = !is_open                                          ? Pattern::short_circuited_module
                             : finding.pattern == Pattern::open_circuit_module ? Pattern::substring_bypassed
                                                                               : Pattern::open_circuit_module;
    finding.evidence = (is_open ? "What is seen of the module is " : "The whole module is ") +
                       difference_words(finding.delta_t) + " above the " + finding.reference + scaled_words(finding) +
                       "; spread between its cells " + number_words(spread_between_cells_k(module), 1) +
                       " K, of healthy modules " + number_words(state.group_of(module).cell_spread_k, 1) + " K; " +
                       (is_open ? "whether its other substrings are as warm is not known; " : "") +
                       count_words(static_cast<int>(finding.frames.size()), "frame") + ".";
    findings.push_back(std::move(finding));
}

// No substring that is not warm is known to have all its light: that they are warm against like modules may be the
// shade's doing.
bool cool_substrings_in_shade(const ModuleState& module) {
    for (int s = 1; s <= module.type->substring_count(); ++s) {
        if (!module.is_warm(s) && !module.is_touched_by_shade(s)) {
            return false;
        }
    }
    return true;
}

}  // namespace

void add_module_findings(const ScoreInput& input,
                         const SurveyState& state,
                         const ModuleState& module,
                         const Explained& explained,
                         std::vector<Finding>& findings) {
    std::vector<int> bare = module.warm_substrings;
    std::erase_if(bare, [&](int substring) { return explained.has_substring(substring); });
    const auto shaded =
        std::stable_partition(bare.begin(), bare.end(), [&](int s) { return !module.is_touched_by_shade(s); });
    const std::vector<int> in_shade(shaded, bare.end());
    bare.erase(shaded, bare.end());
    if (!bare.empty()) {
        add_substring_finding(input, state, module, bare, findings);
    }
    const bool is_warm = module.reference && base_rise_k(module) >= module_threshold_k(input, state, module);
    const auto cool_in_shade = cool_substrings_in_shade(module);
    if (is_warm && !cool_in_shade && !explained.whole_module) {
        add_whole_module_finding(input, state, module, findings);
    }
    if (!module.input->shade) {
        return;
    }
    ShadeEffect effect;
    if (is_warm && cool_in_shade) {
        for (int s = 1; s <= module.type->substring_count(); ++s) {
            effect.substrings.push_back(s);
        }
        effect.whole_module = true;
        effect.rise_k = base_rise_k(module);
        effect.u_k = module_u_k(state, module);
        effect.candidate_k = input.profile.candidate_module_k.value;
        effect.reference_c = module.reference->level_c;
        effect.reference = reference_words(*module.reference);
    } else if (!in_shade.empty()) {
        effect.substrings = in_shade;
        effect.rise_k = substring_rise_k(module, in_shade);
        effect.u_k = substring_u_k(state, module);
        effect.candidate_k = input.profile.candidate_substring_k.value;
        effect.reference_c = module.base_c();
        effect.reference = sibling_words(module);
    }
    add_shade_finding(input, state, module, effect, findings);
}

}  // namespace heatrow
