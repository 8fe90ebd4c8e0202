// How far a string was loaded: its current over the one it should give at this irradiance.
#pragma once

#include "heatrow/core/time.hpp"
#include "heatrow/core/uncertain.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/sun/conditions.hpp"

#include <chrono>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace heatrow {

// One reading of one string; NaN where not read.
struct StringReading {
    UtcTime time{};
    double current_a = kNaN;
    double voltage_v = kNaN;
};

struct StringLoadOptions {
    double rated_current_a = kNaN;  // maximum-power current of the string at 1000 W/m2
    double rated_current_u =
        0.03;                     // standard uncertainty as a share: tolerance and ageing (common practice, no source)
    double meter_u_share = 0.02;  // of the current reading
    double meter_u_a = 0.1;
    std::chrono::seconds reach{900};  // readings further from the asked time do not count
};

// I / I_mp(G) with I_mp(G) = rated current x G / 1000 (current is proportional to irradiance; temperature moves it by
// less than 0.1 % a kelvin), G at the time of the reading, with standard uncertainty from meter, rating and irradiance.
// Between two readings within reach the fraction is interpolated in time; half their difference enters the uncertainty.
// Unknown (NaN) without a reading in reach, without irradiance at its time, or below 50 W/m2.
Uncertain<double> load_fraction_at(const std::vector<StringReading>& readings,
                                   UtcTime time,
                                   const ConditionsSeries& series,
                                   const StringLoadOptions& options);

// The reading with a current that is nearest in time, the earlier of two; nothing without one in reach.
std::optional<StringReading> nearest_reading(const std::vector<StringReading>& readings,
                                             UtcTime time,
                                             std::chrono::seconds reach);

// Readings by string id, each in order of time.
using StringReadings = std::map<std::string, std::vector<StringReading>>;

}  // namespace heatrow
