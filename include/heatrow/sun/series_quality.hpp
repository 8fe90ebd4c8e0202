// Doubts about a conditions log that its values raise: gaps, stuck sensors, offsets, snow, a sky too bright.
#pragma once

#include "heatrow/sun/conditions.hpp"
#include "heatrow/sun/incidence.hpp"
#include "heatrow/sun/log_finding.hpp"
#include "heatrow/sun/solar_position.hpp"

#include <optional>
#include <vector>

namespace heatrow {

// When a doubt is raised. Design values: common practice, no source. Nothing here is a limit of a survey (profiles hold
// those); a finding tells the reader to look, and changes no number.
struct QualityRules {
    std::chrono::minutes stuck_irradiance{20};  // unchanged to the last digit while above `stuck_irradiance_above`
    WattsPerSquareMetre stuck_irradiance_above{50.0};
    std::chrono::minutes stuck_other{180};      // wind above zero, temperatures
    int stuck_rows = 5;                         // and at least so many rows
    WattsPerSquareMetre night_offset{10.0};     // median with the sun 6 deg or more below the horizon
    double above_clear_sky = 1.35;              // over the clear sky (cloud edges reach 1.3 for minutes)
    std::chrono::minutes slow_interval{1};      // rows further apart hide cloud edges
    double too_cool_share = 0.7;                // median rise over the steady rise by Faiman
    WattsPerSquareMetre too_cool_above{400.0};  // judged in rows above this irradiance
    std::chrono::minutes clock_shift{5};          // found against the clear sky, and at least three of its uncertainties
    MetresPerSecond unknown_wind{5.0};          // where the log has none: a windy day, so that calm raises no doubt
};

// Kinds: gap, stuck, slow_rows; needs no place.
std::vector<LogFinding> find_row_doubts(const ConditionsSeries& series, const QualityRules& rules = {});

// Kinds: clock_shift (estimate_clock_shift), night_offset, above_clear_sky (with the plane of the irradiance column; horizontal irradiance if `plane` is
// absent), sun_below_horizon (bright readings at night: a clock hours off).
std::vector<LogFinding> find_sky_doubts(const ConditionsSeries& series,
                                        const Place& place,
                                        const std::optional<PlaneOrientation>& plane,
                                        const QualityRules& rules = {});

// Kinds, by UTC day: snow_suspected (module far cooler than the irradiance explains, held near or below freezing in
// freezing air), module_too_cool (the same without frost: sensor loose, wrong column, irradiance of another plane).
std::vector<LogFinding> find_module_doubts(const ConditionsSeries& series, const QualityRules& rules = {});

}  // namespace heatrow
