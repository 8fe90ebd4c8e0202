// Cells of a whole module that differ as no healthy module's do: a short, broken glass or dirt, or neither decided.
#include "cell_spread.hpp"
#include "evidence_text.hpp"
#include "finding_parts.hpp"
#include "findings.hpp"
#include "heatrow/core/median.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

// How fast the odds turn around `irregular_likeness`: normal likelihoods of the likeness of neighbours with a standard
// deviation of 0.12, 0.38 apart (measured on tuning seeds of tests/scenes/patterns).
constexpr double kLikenessSlope = 26.0;
constexpr double kUnevenShare = 0.8;  // of the branches, at least
// The same where every substring is warmer than like modules: a few cells of a short may take most of the reverse
// voltage, which a robust spread does not count, and broken glass may lie even over a branch.
constexpr double kUnevenShareOfWarm = 0.6;
// What lies on a module or breaks its glass warms each branch by what happens to lie there: standard deviation between
// branches over that between cells (own choice; patches as large as four cells would give 0.5 of 20 cells).
constexpr double kExternalBranchShare = 0.5;

// Branches whose cells differ by three quarters of what makes a patchwork; robust, so that what a warm neighbour lends
// to a column does not count.
double share_of_uneven_branches(const ScoreInput& input, const SurveyState& state, const ModuleState& module) {
    constexpr double kNearly = 0.75;
    const double least_k = kNearly * input.profile.patchwork_spread_ratio.value * state.group_of(module).cell_spread_k;
    int branches = 0;
    int uneven = 0;
    for (int substring = 1; substring <= module.type->substring_count(); ++substring) {
        for (const auto& branch : module.type->branches_of_substring(substring)) {
            std::vector<double> values;
            for (const int cell : branch) {
                values.push_back(module.difference_k[static_cast<std::size_t>(cell)]);
            }
            ++branches;
            uneven += robust_sigma(std::move(values)) >= least_k ? 1 : 0;
        }
    }
    return branches == 0 ? 0.0 : static_cast<double>(uneven) / branches;
}

// Means over the cells of each branch of all substrings, K.
std::vector<double> branch_means(const ModuleState& module) {
    std::vector<double> means;
    for (int substring = 1; substring <= module.type->substring_count(); ++substring) {
        for (const auto& branch : module.type->branches_of_substring(substring)) {
            double sum = 0.0;
            int count = 0;
            for (const int cell : branch) {
                const double value = module.difference_k[static_cast<std::size_t>(cell)];
                sum += std::isfinite(value) ? value : 0.0;
                count += std::isfinite(value) ? 1 : 0;
            }
            if (count > 0) {
                means.push_back(sum / count);
            }
        }
    }
    return means;
}

// Logarithm of the odds that the means of the branches scatter as they do for a cause from outside rather than for a
// short. Shorted cells drive each other far apart, but a branch without voltage exports nothing: whatever its cells are
// like, all the light they absorb becomes heat, and the branches are equally warm on average (energy balance).
double log_odds_of_branch_means(const SurveyState& state,
                                const ModuleState& module,
                                const std::vector<double>& means,
                                double sigma_k) {
    const auto n = static_cast<double>(means.size());
    double mean = 0.0;
    for (const double value : means) {
        mean += value / n;
    }
    double squares = 0.0;
    for (const double value : means) {
        squares += (value - mean) * (value - mean);
    }
    const double shorted = substring_u_k(state, module);
    const double external = combine_independent(shorted, kExternalBranchShare * sigma_k);
    return 0.5 * squares * (1.0 / (shorted * shorted) - 1.0 / (external * external)) -
           std::max(0.0, n - 1.0) * std::log(external / shorted);
}

// What lies on or in the glass is the same in every view; what the glass mirrors moves over it with the camera, and the
// views disagree about each cell. The spread must stand out from that disagreement as any difference must from its u.
bool is_steady_over_views(const ScoreInput& input, const ModuleState& module, double sigma_k) {
    std::vector<double> us;
    for (const FusedCell& cell : module.input->fused.cells) {
        if (std::isfinite(cell.temperature.u)) {
            us.push_back(cell.temperature.u);
        }
    }
    return us.empty() || sigma_k >= input.profile.candidate_sigma.value * take_median(us);
}

}  // namespace

bool may_show_patchwork(const SurveyState& state, const ModuleState& module) {
    return module.has_levels && module.is_judged() && !module.in_warm_string && !module.input->shade &&
           state.group_of(module).has_template;  // else rims and boxes would pass for faults
}

std::optional<Patchwork> patchwork_of(const ScoreInput& input, const SurveyState& state, const ModuleState& module) {
    if (module.is_seen_in_part()) {  // it is about the cells of all branches
        return std::nullopt;
    }
    Patchwork patchwork;
    patchwork.sigma_k = spread_between_cells_k(module);
    const int cells = static_cast<int>(std::count_if(
        module.difference_k.begin(), module.difference_k.end(), [](double d) { return std::isfinite(d); }));
    patchwork.probability = 1.0 - even_probability(input, state, module, patchwork.sigma_k, cells);
    const double ratio = patchwork.sigma_k / state.group_of(module).cell_spread_k;
    const double uneven = share_of_uneven_branches(input, state, module);
    if (!(ratio >= input.profile.patchwork_spread_ratio.value) || uneven < kUnevenShareOfWarm) {
        return std::nullopt;
    }
    patchwork.is_steady = is_steady_over_views(input, module, patchwork.sigma_k);
    patchwork.likeness = likeness_of_neighbours(module);
    patchwork.rise_k = module.reference ? module.level_c - module.reference->level_c : kNaN;
    const auto means = branch_means(module);
    const auto [coolest, warmest] = std::minmax_element(means.begin(), means.end());
    patchwork.branches_apart_k = means.empty() ? 0.0 : *warmest - *coolest;
    const double log_odds = kLikenessSlope * (patchwork.likeness - input.profile.irregular_likeness.value) +
                            log_odds_of_branch_means(state, module, means, patchwork.sigma_k);
    patchwork.external = 1.0 / (1.0 + std::exp(-log_odds));
    const double u = module.reference ? module_u_k(state, module) : kNaN;
    const double warm_k = std::max(input.profile.candidate_module_k.value, input.profile.candidate_sigma.value * u);
    patchwork.is_warm = patchwork.rise_k >= warm_k;
    if (uneven < kUnevenShare && !(module.reference && module.base_c() - module.reference->level_c >= warm_k)) {
        return std::nullopt;
    }
    return patchwork;
}

bool add_patchwork_finding(const ScoreInput& input,
                           const SurveyState& state,
                           const ModuleState& module,
                           const Patchwork& patchwork,
                           std::vector<Finding>& findings) {
    const auto& profile = input.profile;
    const double irregular = patchwork.external;
    const double healthy = state.group_of(module).cell_spread_k;
    const double ratio = patchwork.sigma_k / healthy;
    // Shorted cells drive each other far apart and the module exports nothing; degraded ones differ less.
    const bool as_shorted = patchwork.is_warm && ratio >= profile.shorted_spread_ratio.value;
    Pattern pattern = Pattern::patchwork_cause_open;
    Pattern second = as_shorted ? Pattern::short_circuited_module : Pattern::potential_induced_degradation;
    double probability = patchwork.probability;
    if (irregular >= 0.5) {
        pattern =
            is_brighter_front(profile, module) ? Pattern::broken_glass_suspected : Pattern::external_cause_possible;
        second = pattern == Pattern::broken_glass_suspected ? Pattern::external_cause_possible : second;
        probability *= irregular;
    } else if (as_shorted) {
        pattern = Pattern::short_circuited_module;
        second = Pattern::external_cause_possible;
        probability *= 1.0 - irregular;
    } else if (!patchwork.is_warm && !(ratio >= profile.shorted_spread_ratio.value)) {
        return false;  // uneven cells at the level of the neighbours, by a little: no abnormality
    }
    Finding finding = begin_finding(input, module, pattern);
    finding.delta_t = with_relative_terms(input, patchwork.rise_k, module.reference ? stated_module_u_k(module) : kNaN);
    finding.t_hot = Celsius(module.level_c);
    if (module.reference) {
        finding.t_reference = Celsius(module.reference->level_c);
        finding.reference = reference_words(*module.reference);
    }
    scale_and_classify(input, finding);
    finding.pattern_probability = probability;
    finding.pattern_second = second;
    finding.evidence = "The cells of the whole module are a patchwork, spread between them " +
                       number_words(patchwork.sigma_k, 1) + " K, of healthy modules " + number_words(healthy, 1) + " K";
    if (module.reference) {
        finding.evidence += "; the module is " + difference_words(finding.delta_t) + " above the " + finding.reference +
                            scaled_words(finding);
    }
    finding.evidence += "; likeness of cells side by side " + number_words(patchwork.likeness, 2) +
                        " (0: none), its branches up to " + number_words(patchwork.branches_apart_k, 1) +
                        " K apart on average (shorted ones: alike)";
    switch (pattern) {
        case Pattern::broken_glass_suspected:
            finding.evidence += ": what is warm does not keep to cells or branches; " + front_words(module) +
                                ": broken glass, or a front that is dirty all over";
            break;
        case Pattern::external_cause_possible:
            finding.evidence +=
                ": what is warm does not keep to cells or branches, as under broken glass, dirt or shade; look at its "
                "front";
            break;
        case Pattern::short_circuited_module:
            finding.evidence += ": it keeps to cells, as where a shorted module's cells drive each other";
            break;
        default:
            finding.evidence += ": short, degradation and causes from outside are not decided";
    }
    if (finding.frames.size() == 1) {
        finding.evidence += "; seen in one view only, so that something mirrored is not ruled out";
    }
    finding.evidence += "; " + count_words(static_cast<int>(finding.frames.size()), "frame") + ".";
    findings.push_back(std::move(finding));
    return true;
}

std::string note_on_mirrored(const ScoreInput& input, const SurveyState& state) {
    std::string names;
    int modules = 0;
    for (const ModuleState& module : state.modules) {
        if (!may_show_patchwork(state, module)) {
            continue;
        }
        const auto patchwork = patchwork_of(input, state, module);
        if (patchwork && !patchwork->is_steady) {
            ++modules;
            names += (names.empty() ? "" : ", ") +
                     input.layout.modules[static_cast<std::size_t>(module.input->fused.module)].id;
        }
    }
    return modules == 0 ? ""
                        : count_words(modules, "module") + (modules == 1 ? " shows" : " show") +
                              " an uneven front that changes from view to view, as mirrored things do: no finding of " +
                              "it (" + names + ").";
}

}  // namespace heatrow
