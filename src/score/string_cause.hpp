// Why a string is warm as a whole, by what electrical readings say of it (docs/patterns.md).
#pragma once

#include "survey_state.hpp"

#include <string>
#include <vector>

namespace heatrow {

struct StringCause {
    Pattern pattern = Pattern::string_warm_cause_open;
    Pattern second = Pattern::open_circuit_module;
    double probability = 1.0;  // of the pattern, given that the string is warm
    std::string words;         // a sentence with the readings, whether they agree or contradict
};

// Precondition: the string is warm as a whole.
StringCause cause_of_warm_string(const ScoreInput& input, const SurveyState& state, int string);

// "its string carried 97 % ± 8 % of the expected current"; empty where that is not known.
std::string load_words(const FrameConditions& conditions);

// Strings without current that are not warm: readings that the frames contradict, and strings that nothing loaded could
// be compared with.
std::vector<std::string> notes_on_readings(const ScoreInput& input, const SurveyState& state);

}  // namespace heatrow
