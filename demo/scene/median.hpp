// The middle value.
#pragma once

#include <vector>

namespace scene {

// 0 of nothing; of an even count the mean of the two in the middle.
double median_of(std::vector<double> values);

}  // namespace scene
