#include "string_readings.hpp"

#include "evidence_text.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {

StringLoad load_of(const ScoreInput& input, int string) {
    return input.strings.empty() ? StringLoad{} : input.strings[static_cast<std::size_t>(string)];
}

bool carries_none(const ScoreInput& input, const StringLoad& load) {
    return load.fraction.is_known() && load.fraction.value <= input.profile.no_current_load_fraction.value;
}

bool is_loaded(const ScoreInput& input, const StringLoad& load) {
    return load.fraction.is_known() && load.fraction.value >= input.profile.minimum_load_fraction.value;
}

bool load_is_known(const ScoreInput& input, int string) {
    return load_of(input, string).fraction.is_known();
}

std::string percent_words(const Uncertain<double>& fraction) {
    return number_words(100.0 * fraction.value, 0) + " % ± " + number_words(100.0 * fraction.u95(), 0) +
           " % of the expected current";
}

std::string reading_words(const StringLoad& load) {
    std::string words = number_words(load.current_a, 2) + " A";
    if (std::isfinite(load.voltage_v)) {
        words += " at " + number_words(load.voltage_v, 0) + " V";
    }
    return words + ", " + percent_words(load.fraction);
}

// "String R1-S2 (0.02 A, 0 % ± 3 % of the expected current)", or the first few of several.
std::string string_list(const ScoreInput& input, const std::vector<int>& strings) {
    constexpr std::size_t kNamed = 3;
    std::string words = strings.size() == 1 ? "String " : "Each of the strings ";
    for (std::size_t i = 0; i < std::min(kNamed, strings.size()); ++i) {
        const int string = strings[i];
        words += (i == 0 ? "" : ", ") + input.layout.strings[static_cast<std::size_t>(string)].id + " (" +
                 reading_words(load_of(input, string)) + ")";
    }
    return strings.size() <= kNamed ? words : words + " and " + std::to_string(strings.size() - kNamed) + " more";
}

}  // namespace heatrow
