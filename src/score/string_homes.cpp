#include "string_homes.hpp"

#include "evidence_text.hpp"
#include "heatrow/core/median.hpp"
#include "string_readings.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>

namespace heatrow {
namespace {

std::string inside(const std::string& words, const std::string& outer_kind, const std::string& outer) {
    return outer.empty() ? words : words + " of " + outer_kind + " " + outer;
}

// Empty where the layout does not say.
std::string input_words(const StringHome& home) {
    const std::string words = "input " + home.input;
    return home.input.empty() ? "" : inside(inside(words, "combiner", home.combiner), "inverter", home.inverter);
}
std::string combiner_words(const StringHome& home) {
    return home.combiner.empty() ? "" : inside("combiner " + home.combiner, "inverter", home.inverter);
}
std::string inverter_words(const StringHome& home) {
    return home.inverter.empty() ? "" : "inverter " + home.inverter;
}

bool is_judged(const ScoreInput& input, const SurveyState& state, int string) {
    return load_is_known(input, string) || state.strings[static_cast<std::size_t>(string)].reference.has_value();
}

// Members that are judged where all of those, two at least, are idle; none otherwise.
std::vector<int> idle_members(const ScoreInput& input, const SurveyState& state, const StringGroup& group) {
    std::vector<int> idle;
    for (const int string : group.strings) {
        if (is_judged(input, state, string)) {
            if (!is_idle(input, state, string)) {
                return {};
            }
            idle.push_back(string);
        }
    }
    return idle.size() >= 2 ? idle : std::vector<int>{};
}

bool any_works_beside(const ScoreInput& input, const SurveyState& state, const StringGroup& group) {
    for (int string = 0; string < static_cast<int>(state.strings.size()); ++string) {
        if (!std::binary_search(group.strings.begin(), group.strings.end(), string) &&
            is_judged(input, state, string) && !is_idle(input, state, string)) {
            return true;
        }
    }
    return false;
}

std::vector<int> working_siblings(const ScoreInput& input, const std::vector<StringGroup>& groups, int string) {
    constexpr std::size_t kFewest = 3;  // a median that one odd string does not move
    for (const StringGroup& group : groups) {
        std::vector<int> siblings;
        if (std::binary_search(group.strings.begin(), group.strings.end(), string)) {
            std::copy_if(group.strings.begin(), group.strings.end(), std::back_inserter(siblings), [&](int other) {
                return other != string && load_is_known(input, other) && !carries_none(input, load_of(input, other));
            });
        }
        if (siblings.size() >= kFewest) {
            return siblings;
        }
    }
    return {};
}

std::string low_sibling_note(const ScoreInput& input,
                             const std::vector<StringGroup>& groups,
                             const ScoreResult& result,
                             int string) {
    constexpr double kSigmas = 3.0;  // one string in a thousand by chance
    const StringLoad load = load_of(input, string);
    const std::vector<int> siblings = working_siblings(input, groups, string);
    if (siblings.empty() || !load.fraction.is_known() || carries_none(input, load)) {
        return "";
    }
    std::vector<double> fractions;
    std::vector<double> uncertainties;
    for (const int sibling : siblings) {
        fractions.push_back(load_of(input, sibling).fraction.value);
        uncertainties.push_back(load_of(input, sibling).fraction.u);
    }
    const double typical = take_median(fractions);
    // The light is the same for all and cancels, but stays in each fraction's uncertainty: a little wide. A median of n
    // scatters by the square root of pi / 2n.
    const double typical_u =
        take_median(uncertainties) * std::sqrt(std::numbers::pi / (2.0 * static_cast<double>(siblings.size())));
    const Uncertain<double> share{
        load.fraction.value / typical,
        combine_independent(load.fraction.u, load.fraction.value * typical_u / typical) / typical};
    if (1.0 - share.value <= kSigmas * share.u) {
        return "";
    }
    const auto found =
        static_cast<int>(std::count_if(result.findings.begin(), result.findings.end(), [&](const Finding& finding) {
            return finding.string == string ||
                   (finding.module >= 0 &&
                    input.layout.modules[static_cast<std::size_t>(finding.module)].string == string);
        }));
    return "String " + input.layout.strings[static_cast<std::size_t>(string)].id + " carried " +
           number_words(100.0 * share.value, 0) + " % ± " + number_words(100.0 * share.u95(), 0) + " % of what its " +
           count_words(static_cast<int>(siblings.size()), "sibling") + " did at the same light (median): " +
           (found > 0 ? "agrees with " + count_words(found, "finding") + " on it, which may or may not be all of it."
                      : "nothing seen on it explains that; look for shade or dirt that has gone since, for its "
                        "connectors and for what the meter read.");
}

}  // namespace

std::vector<StringGroup> string_groups(const Layout& layout) {
    std::vector<StringGroup> groups;
    for (const auto words_of : {input_words, combiner_words, inverter_words}) {
        const auto level = static_cast<std::ptrdiff_t>(groups.size());
        for (std::size_t string = 0; string < layout.strings.size(); ++string) {
            const std::string words = words_of(layout.strings[string].home);
            if (words.empty()) {
                continue;
            }
            auto group = std::find_if(
                groups.begin() + level, groups.end(), [&](const StringGroup& known) { return known.words == words; });
            if (group == groups.end()) {
                group = groups.insert(groups.end(), {words, {}});
            }
            group->strings.push_back(static_cast<int>(string));
        }
    }
    std::set<std::vector<int>> known;
    std::erase_if(groups, [&](const StringGroup& group) {
        return group.strings.size() < 2 || !known.insert(group.strings).second;
    });
    return groups;
}

bool is_idle(const ScoreInput& input, const SurveyState& state, int string) {
    return load_is_known(input, string) ? carries_none(input, load_of(input, string))
                                        : state.strings[static_cast<std::size_t>(string)].is_warm;
}

std::vector<StringGroup> idle_groups(const ScoreInput& input, const SurveyState& state) {
    std::vector<StringGroup> idle;
    for (const StringGroup& group : string_groups(input.layout)) {
        std::vector<int> members = idle_members(input, state, group);
        if (members.empty() || !any_works_beside(input, state, group)) {
            continue;
        }
        std::erase_if(idle, [&](const StringGroup& narrow) {
            return std::includes(members.begin(), members.end(), narrow.strings.begin(), narrow.strings.end());
        });
        idle.push_back({group.words, std::move(members)});
    }
    return idle;
}

std::optional<StringGroup> idle_group_of(const ScoreInput& input, const SurveyState& state, int string) {
    for (StringGroup& group : idle_groups(input, state)) {
        if (std::binary_search(group.strings.begin(), group.strings.end(), string)) {
            return std::move(group);
        }
    }
    return std::nullopt;
}

std::vector<std::string> notes_on_groups(const ScoreInput& input, const SurveyState& state, const ScoreResult& result) {
    std::vector<std::string> notes;
    for (const StringGroup& group : idle_groups(input, state)) {
        notes.push_back("All " + count_words(static_cast<int>(group.strings.size()), "string") + " of " + group.words +
                        " that were judged are warm or without current, and strings of others are not: look first at "
                        "what they share, its switch, fuse or cable. Not under load is no defect.");
    }
    if (input.strings.empty()) {
        return notes;
    }
    const std::vector<StringGroup> groups = string_groups(input.layout);
    for (int string = 0; string < static_cast<int>(state.strings.size()); ++string) {
        if (std::string low = low_sibling_note(input, groups, result, string); !low.empty()) {
            notes.push_back(std::move(low));
        }
    }
    return notes;
}

}  // namespace heatrow
