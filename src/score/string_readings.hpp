// What was read of strings while they were photographed, and how a sentence says it.
#pragma once

#include "heatrow/score/score.hpp"

#include <string>
#include <vector>

namespace heatrow {

// Of a string of the layout; nothing known where it was not read.
StringLoad load_of(const ScoreInput& input, int string);

// True where a reading says how the string was loaded.
bool load_is_known(const ScoreInput& input, int string);

// Read, and within the profile's limits of no current, and of enough of it to judge cells by.
bool carries_none(const ScoreInput& input, const StringLoad& load);
bool is_loaded(const ScoreInput& input, const StringLoad& load);

// "97 % ± 8 % of the expected current"
std::string percent_words(const Uncertain<double>& fraction);
// "7.10 A at 620 V, 97 % ± 8 % of the expected current"
std::string reading_words(const StringLoad& load);
// "String R1-S2 (0.02 A, 0 % ± 3 % of the expected current)", or the first few of several.
std::string string_list(const ScoreInput& input, const std::vector<int>& strings);

}  // namespace heatrow
