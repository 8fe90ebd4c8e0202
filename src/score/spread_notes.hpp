// What modules with findings have in common: a place in their rows, a type, an end of their strings.
#pragma once

#include "heatrow/score/score.hpp"

#include <string>
#include <vector>

namespace heatrow {

// Upper tail of the hypergeometric distribution: that of `drawn` modules, taken at random from `all`, at least `hits`
// lie in a group of `group` (the one-sided exact test of R. A. Fisher, Statistical Methods for Research Workers).
double chance_of_at_least(int hits, int drawn, int group, int all);

// One sentence for each group of assessed modules that holds more modules with findings of class 2 or 3 than chance
// lets expect: ends of rows, one module type, the third of each string at its negative end. Shading and findings on
// strings do not count. A hint where to look for a common cause, no finding.
std::vector<std::string> notes_on_spread(const Layout& layout, const ScoreResult& result);

}  // namespace heatrow
