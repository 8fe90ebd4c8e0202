#include "heatrow/score/score.hpp"

#include "evidence_text.hpp"
#include "finding_parts.hpp"
#include "findings.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/score/scaling.hpp"
#include "spread_notes.hpp"
#include "string_cause.hpp"
#include "string_homes.hpp"
#include "string_readings.hpp"
#include "survey_state.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

// Why a module is not assessed although it takes part, or did not take part in the first place.
std::string_view final_reason(const ModuleState& module) {
    if (!module.unassessed.empty()) {
        return module.unassessed;
    }
    if (module.in_warm_string) {
        return reason::kStringWarm;
    }
    return module.reference ? std::string_view{} : reason::kNoReference;
}

void set_cells(const ScoreInput& input, const SurveyState& state, const ModuleState& module, ModuleScore& score) {
    const auto& rule = *input.profile.rule(Pattern::hot_cell);
    const auto& irradiance = scaling_irradiance(module.input->conditions).value;
    const double lift = module.reference ? module.base_c() - module.reference->level_c : 0.0;
    const bool scaled = module.is_judged();
    score.cells.resize(module.difference_k.size());
    for (std::size_t c = 0; c < score.cells.size(); ++c) {
        auto& cell = score.cells[c];
        const double in_module = module.difference_k[c] - module.base_k;
        if (!std::isfinite(in_module)) {
            continue;
        }
        cell.in_module = KelvinDelta(in_module);
        const double u = combine_independent(measured_cell_u_k(state, module, static_cast<int>(c)),
                                             module.input->shared.cell_relative_u * in_module);
        cell.delta_t = with_relative_terms(input, in_module + lift, u);
        if (scaled) {
            cell.delta_t_1000 = scale_to_1000(cell.delta_t.value, irradiance, rule.exponent);
        }
        if (score.hottest_cell < 0 ||
            in_module > score.cells[static_cast<std::size_t>(score.hottest_cell)].in_module.value()) {
            score.hottest_cell = static_cast<int>(c);
        }
    }
    if (scaled && score.hottest_cell >= 0) {
        score.hottest_cell_delta_t_1000 = scale_to_1000(
            score.cells[static_cast<std::size_t>(score.hottest_cell)].in_module, irradiance, rule.exponent);
    }
}

// Median over the cells, with the uncertainty of that median, of the level that the views share, and of what all views
// have in common.
Uncertain<Celsius> module_temperature(const ModuleInput& input) {
    const FusedModule& fused = input.fused;
    std::vector<double> values;
    std::vector<double> uncertainties;
    for (const auto& cell : fused.cells) {
        values.push_back(cell.temperature.value.value());
        uncertainties.push_back(cell.temperature.u);
    }
    const double median = take_median(values);
    const double cell_u = take_median(uncertainties);
    const double own = std::isfinite(cell_u) ? cell_u / std::sqrt(static_cast<double>(values.size())) : 0.0;
    return {Celsius(median), combine_independent(own, fused.level_u_k, input.shared.temperature_u_k)};
}

ModuleScore module_score(const ScoreInput& input, const SurveyState& state, std::size_t index) {
    const auto& module = state.modules[index];
    ModuleScore score;
    score.module = static_cast<int>(index);
    score.assessed_reason = final_reason(module);
    score.assessed = score.assessed_reason.empty();
    if (module.input == nullptr) {
        return score;
    }
    score.flags = module.input->fused.flags;
    score.flags |= module.input->conditions.flags;
    if (!module.input->conditions.load_fraction.is_known()) {
        score.flags.set(Flag::load_unknown);
    }
    if (module.unassessed == reason::kIrradianceBelowMinimum) {
        score.flags.set(Flag::irradiance_below_minimum);
    }
    if (!module.has_levels) {
        score.cells.resize(module.is_seen_in_part() ? module.input->fused.cells.size() : 0);  // which are seen is told
        return score;
    }
    score.temperature = module_temperature(*module.input);
    set_cells(input, state, module, score);
    if (module.reference) {
        score.delta_t =
            with_relative_terms(input, module.level_c - module.reference->level_c, module_u_k(state, module));
        if (module.is_judged()) {
            score.delta_t_1000 = scale_to_1000(score.delta_t.value,
                                               scaling_irradiance(module.input->conditions).value,
                                               input.profile.rule(Pattern::open_circuit_module)->exponent);
        }
    }
    return score;
}

StringScore string_score(const ScoreInput& input, const SurveyState& state, std::size_t index) {
    const auto& string = state.strings[index];
    StringScore score;
    score.string = static_cast<int>(index);
    score.assessed = string.unassessed.empty();
    score.assessed_reason = string.unassessed;
    if (!string.reference) {
        return score;
    }
    score.delta_t = with_relative_terms(input, string.rise_k(), string_u_k(state, string));
    std::vector<double> irradiances;
    for (const int module : string.seen) {
        irradiances.push_back(
            scaling_irradiance(state.modules[static_cast<std::size_t>(module)].input->conditions).value.value());
    }
    score.delta_t_1000 = scale_to_1000(score.delta_t.value,
                                       WattsPerSquareMetre(take_median(irradiances)),
                                       input.profile.rule(Pattern::string_warm_cause_open)->exponent);
    return score;
}

// Classes and counts of modules and strings follow from the findings.
void count_findings(const ScoreInput& input, ScoreResult& result) {
    for (const auto& module : result.modules) {
        const int string = input.layout.modules[static_cast<std::size_t>(module.module)].string;
        if (string >= 0 && module.assessed) {
            ++result.strings[static_cast<std::size_t>(string)].modules_assessed;
        }
    }
    for (const auto& finding : result.findings) {
        if (finding.module >= 0) {
            auto& module = result.modules[static_cast<std::size_t>(finding.module)];
            if (module.assessed) {
                module.abnormality = std::max(module.abnormality, finding.abnormality);
            }
        }
        if (finding.string >= 0) {
            auto& string = result.strings[static_cast<std::size_t>(finding.string)];
            ++string.findings;
            string.abnormality = std::max(string.abnormality, finding.abnormality);
        }
    }
}

// Modules that no frame shows whole; empty where there are none.
std::string note_on_cut_modules(const SurveyState& state) {
    int modules = 0;
    double least = 1.0;
    double most = 0.0;
    for (const ModuleState& module : state.modules) {
        if (module.unassessed == reason::kSeenInPart) {
            const double share = static_cast<double>(module.cells_seen()) / module.type->cell_count();
            ++modules;
            least = std::min(least, share);
            most = std::max(most, share);
        }
    }
    return modules == 0 ? ""
                        : count_words(modules, "module") + (modules == 1 ? " is" : " are") +
                              " cut by the border of every frame that shows " + (modules == 1 ? "it" : "them") +
                              ": what is in the pictures was looked at (" + number_words(100.0 * least, 0) + " to " +
                              number_words(100.0 * most, 0) +
                              " % of the cells), the rest is not known, so none of them is assessed. Fly past the end "
                              "of the rows.";
}

void add_notes(const ScoreInput& input, const SurveyState& state, ScoreResult& result) {
    int alone = 0;
    for (std::size_t s = 0; s < state.strings.size(); ++s) {
        const bool open = !load_is_known(input, static_cast<int>(s));
        alone += open && state.strings[s].unassessed == reason::kNoReference ? 1 : 0;
    }
    if (alone > 0) {
        result.notes.push_back(
            count_words(alone, "string") +
            " had no like modules of other strings near by: whether such a string is warm or off as a "
            "whole cannot be decided without electrical data, and cell faults of a string without load "
            "do not show.");
    }
    for (auto& sentence : notes_on_readings(input, state)) {
        result.notes.push_back(std::move(sentence));
    }
    for (auto& sentence : notes_on_groups(input, state, result)) {
        result.notes.push_back(std::move(sentence));
    }
    for (const bool is_seen : {false, true}) {
        if (std::string shade = note_on_shade(state, is_seen); !shade.empty()) {
            result.notes.push_back(std::move(shade));
        }
    }
    if (std::string mirrored = note_on_mirrored(input, state); !mirrored.empty()) {
        result.notes.push_back(std::move(mirrored));
    }
    for (std::string& spread : notes_on_spread(input.layout, result)) {
        result.notes.push_back(std::move(spread));
    }
    if (std::string cut = note_on_cut_modules(state); !cut.empty()) {
        result.notes.push_back(std::move(cut));
    }
    const auto misfits =
        static_cast<int>(std::count_if(state.modules.begin(), state.modules.end(), [](const ModuleState& module) {
            return module.unassessed == reason::kOutlineMismatch;
        }));
    if (misfits > 0) {
        result.notes.push_back(count_words(misfits, "module") + (misfits == 1 ? " shows its" : " show their") +
                               " sides elsewhere than the layout draws them: of another size, or replaced. What lies "
                               "under the drawn cells is not known, and is not assessed; correct the layout.");
    }
    const auto lonely = static_cast<int>(std::count_if(result.modules.begin(), result.modules.end(), [](const auto& m) {
        return m.assessed_reason == reason::kNoReference;
    }));
    if (lonely > 0) {
        result.notes.push_back(
            count_words(lonely, "module") + " had fewer than " +
            number_words(input.profile.neighbours_minimum.value, 0) +
            " like neighbours: only differences inside the module were looked at, it is not assessed.");
    }
    const auto bare = static_cast<int>(std::count_if(state.groups.begin(), state.groups.end(), [&](const auto& g) {
        return g.modules > 0 && g.modules < static_cast<int>(input.profile.template_minimum_modules.value);
    }));
    if (bare > 0) {
        result.notes.push_back(count_words(bare, "group") + " of like modules had fewer than " +
                               number_words(input.profile.template_minimum_modules.value, 0) +
                               " members: no healthy template was taken out there.");
    }
}

}  // namespace

ScoreResult score(const ScoreInput& input) {
    if (const std::string problem = first_problem(input.profile); !problem.empty()) {
        throw Error(ErrorKind::usage,
                    "the survey cannot be scored",
                    "profile " + input.profile.id,
                    problem,
                    "correct the profile file (docs/formats/profile.md)");
    }
    SurveyState state = begin_state(input);
    remove_templates(input, state);
    find_warm_substrings(input, state);
    find_references(input, state);

    ScoreResult result;
    result.findings = find_patterns(input, state);
    for (std::size_t i = 0; i < state.modules.size(); ++i) {
        result.modules.push_back(module_score(input, state, i));
    }
    for (std::size_t s = 0; s < state.strings.size(); ++s) {
        result.strings.push_back(string_score(input, state, s));
    }
    count_findings(input, result);
    add_notes(input, state, result);
    return result;
}

}  // namespace heatrow
