// Potential-induced degradation: uneven and warmer modules, graded along the wiring toward a string's negative end.
#include "cell_spread.hpp"
#include "evidence_text.hpp"
#include "finding_parts.hpp"
#include "findings.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/core/normal.hpp"
#include "heatrow/score/score.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

constexpr int kLongestRun = 12;        // modules looked at from the negative end
constexpr double kMildlyUneven = 1.5;  // median spread of the run's cells over the healthy one, at least
// Uneven side by side, one in four left out: modules with a fault of their own stand between even ones.
constexpr double kHardlyUneven = 1.15;
constexpr std::size_t kLeftOut = 4;
constexpr double kGraded = 2.0;  // slope over its standard uncertainty: unevenness has found them, it tells the end

struct Member {
    int module = 0;
    int from_end = 0;     // 0: the last one at the negative end
    double rise_k = 0.0;  // above like neighbours, of the substrings that are not warm
    double all_k = 0.0;   // the same of all cells
    double ratio = 0.0;   // spread between its cells over that of healthy modules
};

// Seen modules of the string from its negative end on, position 1 being the positive one.
std::vector<Member> members_from_end(const ScoreInput& input, const SurveyState& state, int string) {
    std::vector<Member> members;
    const auto& modules = input.layout.strings[static_cast<std::size_t>(string)].modules;
    int last = 0;
    for (const int index : modules) {
        last = std::max(last, input.layout.modules[static_cast<std::size_t>(index)].position);
    }
    for (const int index : modules) {
        const auto& module = state.modules[static_cast<std::size_t>(index)];
        const int position = input.layout.modules[static_cast<std::size_t>(index)].position;
        if (position > 0 && module.serves && module.reference &&
            state.group_of(module).has_template &&  // else rims and boxes would pass for uneven cells
            last - position < kLongestRun) {
            members.push_back({index,
                               last - position,
                               module.base_c() - module.reference->level_c,
                               module.level_c - module.reference->level_c,
                               spread_between_cells_k(module) / state.group_of(module).cell_spread_k});
        }
    }
    std::sort(members.begin(), members.end(), [](const Member& a, const Member& b) { return a.from_end < b.from_end; });
    return members;
}

// Falling line of the rise over the place from the end: its slope over its standard uncertainty.
double grading_t(const std::vector<Member>& members, std::size_t count, double u_k, double& slope_k) {
    double mean_x = 0.0;
    double mean_y = 0.0;
    for (std::size_t i = 0; i < count; ++i) {
        mean_x += members[i].from_end / static_cast<double>(count);
        mean_y += members[i].rise_k / static_cast<double>(count);
    }
    double sxx = 0.0;
    double sxy = 0.0;
    for (std::size_t i = 0; i < count; ++i) {
        sxx += (members[i].from_end - mean_x) * (members[i].from_end - mean_x);
        sxy += (members[i].from_end - mean_x) * (members[i].rise_k - mean_y);
    }
    slope_k = -sxy / sxx;
    return slope_k * std::sqrt(sxx) / u_k;
}

}  // namespace

std::optional<Degradation> degradation_of(const ScoreInput& input, const SurveyState& state, int string) {
    if (state.strings[static_cast<std::size_t>(string)].is_warm) {
        return std::nullopt;
    }
    const auto members = members_from_end(input, state, string);
    const auto least = static_cast<std::size_t>(input.profile.degraded_modules_from.value);
    std::optional<Degradation> best;
    for (std::size_t count = least; count <= members.size(); ++count) {
        Degradation one;
        one.string = string;
        one.t = grading_t(members, count, state.module_spread_k, one.slope_k);
        std::vector<double> ratios;
        std::vector<double> rises;
        for (std::size_t i = 0; i < count; ++i) {
            ratios.push_back(members[i].ratio);
            rises.push_back(members[i].all_k);
            one.modules.push_back(members[i].module);
        }
        // The run may reach over the last degraded module: those behind it that are no warmer than healthy ones differ
        // take no part in the difference, and one more or less of the rest is what that is uncertain by.
        while (rises.size() > least && rises.back() < state.module_spread_k) {
            rises.pop_back();
        }
        one.ratio = median_of(ratios);
        one.rise_k = median_of(rises);
        rises.pop_back();
        one.run_u_k = std::abs(median_of(rises) - one.rise_k);
        one.first_k = members.front().rise_k;
        one.last_k = members[count - 1].rise_k;
        const auto uneven = static_cast<std::size_t>(
            std::count_if(ratios.begin(), ratios.end(), [](double ratio) { return ratio >= kHardlyUneven; }));
        if (one.t >= kGraded && uneven >= count - count / kLeftOut && one.ratio >= kMildlyUneven &&
            one.first_k >= input.profile.candidate_module_k.value && (!best || one.t > best->t)) {
            best = one;
        }
    }
    return best;
}

void add_degradation_finding(const ScoreInput& input,
                             const SurveyState& state,
                             const Degradation& degradation,
                             std::vector<Finding>& findings) {
    const auto& first = state.modules[static_cast<std::size_t>(degradation.modules.front())];
    Finding finding = begin_finding(input, first, Pattern::potential_induced_degradation);
    finding.module = -1;
    finding.string = degradation.string;
    finding.candidates.clear();
    std::vector<FrameConditions> conditions;
    std::string names;
    for (const int index : degradation.modules) {
        const auto& own = *state.modules[static_cast<std::size_t>(index)].input;
        conditions.push_back(own.conditions);
        finding.time = std::min(finding.time, own.time);
        finding.flags |= own.fused.flags;
        finding.frames.insert(finding.frames.end(), own.fused.frames.begin(), own.fused.frames.end());
        names += (names.empty() ? "" : ", ") + input.layout.modules[static_cast<std::size_t>(index)].id;
    }
    std::sort(finding.frames.begin(), finding.frames.end());
    finding.frames.erase(std::unique(finding.frames.begin(), finding.frames.end()), finding.frames.end());
    finding.conditions = mean_conditions(conditions);
    finding.flags |= finding.conditions.flags;
    finding.delta_t = with_relative_terms(
        input, degradation.rise_k, combine_independent(stated_module_u_k(first), degradation.run_u_k));
    finding.t_reference = Celsius(first.reference->level_c);
    finding.t_hot = finding.t_reference + finding.delta_t.value;
    finding.reference = "like modules of other strings, median over the graded ones";
    scale_and_classify(input, finding);
    finding.pattern_probability =
        normal_cdf(degradation.t) *
        normal_cdf((degradation.first_k - input.profile.candidate_module_k.value) / module_u_k(state, first));
    finding.pattern_second = Pattern::patchwork_cause_open;
    finding.evidence = std::to_string(degradation.modules.size()) + " modules from the string's negative end on (" +
                       names + ") are graded: " + number_words(degradation.first_k, 1) +
                       " K warmer than like neighbours at the end, " + number_words(degradation.last_k, 1) +
                       " K at the last of them, " + number_words(degradation.slope_k, 1) + " K a module (" +
                       number_words(degradation.t, 1) + " standard uncertainties), their cells " +
                       number_words(degradation.ratio, 1) + " times as uneven as healthy ones" + scaled_words(finding) +
                       "; " + count_words(static_cast<int>(finding.frames.size()), "frame") + ".";
    findings.push_back(std::move(finding));
}

}  // namespace heatrow
