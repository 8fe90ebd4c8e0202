// What strings share by the electrical hierarchy, and what that says: several idle together, one that carries less than
// its siblings.
#pragma once

#include "survey_state.hpp"

#include <optional>
#include <string>
#include <vector>

namespace heatrow {

// Two strings or more whose cables lead to one input, combiner or inverter.
struct StringGroup {
    std::string words;         // "input 3 of combiner C1", "combiner C1", "inverter I2"
    std::vector<int> strings;  // ascending
};

// Inputs before combiners before inverters; of groups of the same strings the first alone.
std::vector<StringGroup> string_groups(const Layout& layout);

// A string without current, by what was read of it; or, where nothing was read, warm as a whole.
bool is_idle(const ScoreInput& input, const SurveyState& state, int string);

// Groups of which two strings and more are judged, all of them idle, while a string of another one is not: what they
// share is open or off. With their judged strings alone; of nested groups the widest.
std::vector<StringGroup> idle_groups(const ScoreInput& input, const SurveyState& state);
// That of the string.
std::optional<StringGroup> idle_group_of(const ScoreInput& input, const SurveyState& state, int string);

// A sentence for each idle group, and for each string that carries less than the median of its siblings at the same
// light by more than the readings explain. Siblings: of its input, combiner or inverter, the smallest group with three
// others that were read and are not idle.
std::vector<std::string> notes_on_groups(const ScoreInput& input, const SurveyState& state, const ScoreResult& result);

}  // namespace heatrow
