// The healthy level among like neighbours: losing export only warms, so of two groups the cooler one is healthy.
#pragma once

#include <vector>

namespace heatrow {

struct LowerMode {
    double value = 0.0;
    double u = 0.0;   // standard uncertainty, from the spread and the number of values that made it
    int members = 0;  // values that took part
};

// Mode of a kernel density with the spread of healthy values as its width: the lowest whose density is at least `share`
// of the highest one's, so that a few cool values (shade, dirt) do not count as a group. Refined by biweight steps
// within three spreads. Holds with up to 1 / (1 + share) of the values warm, if the groups are three spreads apart.
// values: finite, not empty.
LowerMode lower_mode(std::vector<double> values, double spread, double share);

}  // namespace heatrow
