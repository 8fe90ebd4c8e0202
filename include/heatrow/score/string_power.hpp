// What a string of modules yields with one module that is not well: where its tracker or the other strings hold it.
#pragma once

#include "heatrow/score/iv_curve.hpp"

#include <vector>

namespace heatrow {

struct StringPoint {
    double current_a = 0.0;
    double loss_w = 0.0;  // power of the healthy string at its own point less that of this one
};

// Points at which a string of `modules` works when one of its modules has the curve `faulty` and the others have
// `healthy` (same currents): at the string's own maximum of power (a tracker a string), and at the voltage of the healthy
// strings beside it (many strings on one tracker). Where the string's current is held at `load` times that of maximum power
// (load below kFullLoad: curtailed), that one point. load NaN: full load.
std::vector<StringPoint> string_points(const IvCurve& healthy, const IvCurve& faulty, int modules, double load);

inline constexpr double kFullLoad = 0.95;

// Maximum of current times voltage.
struct PowerPoint {
    double current_a = 0.0;
    double power_w = 0.0;
};
PowerPoint maximum_power(const IvCurve& curve);

}  // namespace heatrow
