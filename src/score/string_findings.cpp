#include "evidence_text.hpp"
#include "finding_parts.hpp"
#include "findings.hpp"
#include "heatrow/core/normal.hpp"
#include "string_cause.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

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

}  // namespace

void add_string_finding(const ScoreInput& input, const SurveyState& state, int index, std::vector<Finding>& findings) {
    const auto& string = state.strings[static_cast<std::size_t>(index)];
    const auto& first = state.modules[static_cast<std::size_t>(string.seen.front())];
    const StringCause cause = cause_of_warm_string(input, state, index);
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
    finding.delta_t = with_relative_terms(input, string.rise_k(), stated_string_u_k(state, string));
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

}  // namespace heatrow
