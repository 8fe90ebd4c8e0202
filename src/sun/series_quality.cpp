#include "heatrow/sun/series_quality.hpp"

#include "heatrow/core/fixed_text.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/sun/clock_shift.hpp"
#include "heatrow/sun/module_temperature.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <map>
#include <string>

namespace heatrow {
namespace {

using std::chrono::milliseconds;

std::string plural(int count, const char* one, const char* many) {
    return std::to_string(count) + " " + (count == 1 ? one : many);
}

double minutes_of(milliseconds span) {
    return static_cast<double>(span.count()) / 60000.0;
}

std::optional<LogFinding> find_gaps(const ConditionsSeries& series) {
    const auto& rows = series.rows();
    int gaps = 0;
    milliseconds longest{0};
    UtcTime longest_from{};
    for (std::size_t i = 1; i < rows.size(); ++i) {
        const milliseconds apart = rows[i].time - rows[i - 1].time;
        if (apart > series.maximum_gap()) {
            ++gaps;
            if (apart > longest) {
                longest = apart;
                longest_from = rows[i - 1].time;
            }
        }
    }
    if (gaps == 0) {
        return std::nullopt;
    }
    return LogFinding{"gap",
                      gaps,
                      plural(gaps, "gap", "gaps") + " longer than " + fixed_text(minutes_of(series.maximum_gap()), 0) +
                          " min; the longest is " + fixed_text(minutes_of(longest), 0) + " min from " +
                          to_iso8601(longest_from)};
}

// A column that may get stuck: its value where it is judged, NaN where not.
struct JudgedColumn {
    const char* name;
    double (*value)(const ConditionsRow&, const QualityRules&);
    std::chrono::minutes (*longest)(const QualityRules&);
};

std::chrono::minutes other_limit(const QualityRules& rules) {
    return rules.stuck_other;
}

const std::array<JudgedColumn, 5> kJudged{{
    {"poa_global",
     [](const ConditionsRow& row, const QualityRules& rules) {
         return row.poa > rules.stuck_irradiance_above ? row.poa.value() : kNaN;
     },
     [](const QualityRules& rules) { return rules.stuck_irradiance; }},
    {"ghi",
     [](const ConditionsRow& row, const QualityRules& rules) {
         return row.ghi > rules.stuck_irradiance_above ? row.ghi.value() : kNaN;
     },
     [](const QualityRules& rules) { return rules.stuck_irradiance; }},
    {"wind_speed",
     [](const ConditionsRow& row, const QualityRules&) {
         return row.wind > MetresPerSecond(0.0) ? row.wind.value() : kNaN;
     },
     other_limit},
    {"temp_air", [](const ConditionsRow& row, const QualityRules&) { return row.air.value(); }, other_limit},
    {"temp_module", [](const ConditionsRow& row, const QualityRules&) { return row.module.value(); }, other_limit},
}};

std::optional<LogFinding> find_stuck(const ConditionsSeries& series,
                                     const JudgedColumn& column,
                                     const QualityRules& rules) {
    const auto& rows = series.rows();
    int places = 0;
    milliseconds longest{0};
    UtcTime longest_from{};
    double longest_value = kNaN;
    for (std::size_t i = 0; i < rows.size();) {
        const double value = column.value(rows[i], rules);
        std::size_t end = i + 1;
        while (end < rows.size() && column.value(rows[end], rules) == value) {
            ++end;
        }
        const milliseconds span = rows[end - 1].time - rows[i].time;
        if (end - i >= static_cast<std::size_t>(rules.stuck_rows) && span >= column.longest(rules)) {
            ++places;
            if (span > longest) {
                longest = span;
                longest_from = rows[i].time;
                longest_value = value;
            }
        }
        i = end;
    }
    if (places == 0) {
        return std::nullopt;
    }
    return LogFinding{"stuck",
                      places,
                      std::string(column.name) + " does not change in " + plural(places, "place", "places") +
                          "; the longest is " + fixed_text(minutes_of(longest), 0) + " min at " +
                          fixed_text(longest_value, 2) + " from " + to_iso8601(longest_from)};
}

std::string date_of(UtcTime time) {
    return to_iso8601(time).substr(0, 10);
}

std::optional<LogFinding> judge_day(const std::string& date,
                                    const std::vector<const ConditionsRow*>& rows,
                                    const QualityRules& rules) {
    constexpr std::size_t kLeastRows = 4;
    std::vector<double> measured;
    std::vector<double> expected;
    std::vector<double> module;
    std::vector<double> air;
    for (const ConditionsRow* row : rows) {
        const MetresPerSecond wind = row->wind.is_known() ? row->wind : rules.unknown_wind;
        measured.push_back((row->module - row->air).value());
        expected.push_back((faiman_temperature(row->poa, row->air, wind) - row->air).value());
        module.push_back(row->module.value());
        air.push_back(row->air.value());
    }
    if (measured.size() < kLeastRows || !(median_of(measured) < rules.too_cool_share * median_of(expected))) {
        return std::nullopt;
    }
    // Melting snow holds a module at 0 degC; the sensor is good to half a kelvin.
    const bool frozen = median_of(module) < 0.5 && median_of(air) < 0.0;
    return LogFinding{frozen ? "snow_suspected" : "module_too_cool",
                      static_cast<int>(measured.size()),
                      date + ": the module is " + fixed_text(median_of(measured), 1) +
                          " K above the air at the median of " +
                          plural(static_cast<int>(measured.size()), "bright row", "bright rows") + ", where " +
                          fixed_text(median_of(expected), 1) + " K were to be expected; " +
                          (frozen ? "it stays at freezing: snow or ice on the modules is suspected"
                                  : "check the module sensor, the columns and the plane of the irradiance sensor")};
}

// Clean air is brightest towards the sun, hazy air away from it.
WattsPerSquareMetre brightest_clear_sky(UtcTime time, const Place& place, const PlaneOrientation& plane) {
    constexpr double kAlbedo = 0.2;
    constexpr double kClean = 2.0;
    constexpr double kHazy = 5.0;
    return std::max(clear_sky_on_plane(time, place, plane, kAlbedo, kClean),
                    clear_sky_on_plane(time, place, plane, kAlbedo, kHazy));
}

void judge_brightness(const ConditionsSeries& series,
                      const Place& place,
                      const std::optional<PlaneOrientation>& plane,
                      const QualityRules& rules,
                      std::vector<LogFinding>& findings) {
    // Clear-sky models are not held to their share when the sun is low.
    constexpr double kLowSunDeg = 10.0;
    // A row a minute is enough.
    constexpr std::chrono::minutes kEvery(1);
    std::optional<UtcTime> judged;
    std::vector<double> night;
    int above = 0;
    int dark = 0;
    UtcTime first_above{};
    UtcTime first_dark{};
    for (const ConditionsRow& row : series.rows()) {
        const WattsPerSquareMetre value = plane ? row.poa : row.ghi;
        if (!value.is_known() || (judged && row.time - *judged < kEvery)) {
            continue;
        }
        judged = row.time;
        const double elevation = in_degrees(solar_position(row.time, place).elevation());
        if (elevation < -6.0) {
            night.push_back(value.value());
            if (value > rules.stuck_irradiance_above) {
                first_dark = dark == 0 ? row.time : first_dark;
                ++dark;
            }
        } else if (elevation > kLowSunDeg && value.value() > 0.0) {
            const WattsPerSquareMetre clear = brightest_clear_sky(row.time, place, plane.value_or(PlaneOrientation{}));
            if (value > rules.above_clear_sky * clear) {
                first_above = above == 0 ? row.time : first_above;
                ++above;
            }
        }
    }
    if (const double offset = median_of(night); std::abs(offset) > rules.night_offset.value()) {
        findings.push_back({"night_offset",
                            static_cast<int>(night.size()),
                            "irradiance reads " + fixed_text(offset, 1) + " W/m2 at the median of " +
                                plural(static_cast<int>(night.size()), "row", "rows") + " at night"});
    }
    if (dark > 0) {
        findings.push_back({"sun_below_horizon",
                            dark,
                            plural(dark, "row is", "rows are") +
                                " bright while the sun is more than 6 deg below the horizon, the first at " +
                                to_iso8601(first_dark) + ": check the clock's zone and the site's place"});
    }
    if (above > 0) {
        findings.push_back({"above_clear_sky",
                            above,
                            plural(above, "row is", "rows are") + " above " + fixed_text(rules.above_clear_sky, 2) +
                                " times the clear sky, the first at " + to_iso8601(first_above) +
                                ": check unit, clock and plane of the sensor"});
    }
}

}  // namespace

std::vector<LogFinding> find_row_doubts(const ConditionsSeries& series, const QualityRules& rules) {
    std::vector<LogFinding> findings;
    if (auto gaps = find_gaps(series)) {
        findings.push_back(std::move(*gaps));
    }
    for (const JudgedColumn& column : kJudged) {
        if (auto stuck = find_stuck(series, column, rules)) {
            findings.push_back(std::move(*stuck));
        }
    }
    if (series.usual_spacing() > rules.slow_interval) {
        findings.push_back(
            {"slow_rows",
             static_cast<int>(series.rows().size()),
             "rows are " + fixed_text(minutes_of(series.usual_spacing()), 1) +
                 " min apart: cloud edges between them are not seen, and steadiness is judged from row to row"});
    }
    return findings;
}

std::vector<LogFinding> find_sky_doubts(const ConditionsSeries& series,
                                        const Place& place,
                                        const std::optional<PlaneOrientation>& plane,
                                        const QualityRules& rules) {
    std::vector<LogFinding> findings;
    const auto shift = estimate_clock_shift(series, place, {plane.value_or(PlaneOrientation{}), !plane.has_value()});
    const double limit_s = std::chrono::duration<double>(rules.clock_shift).count();
    if (shift && std::abs(shift->ahead.value()) > std::max(limit_s, 3.0 * shift->u_s)) {
        const double ahead = shift->ahead.value();
        findings.push_back({"clock_shift",
                            shift->rows_fitted,
                            "the clock seems to run " + fixed_text(std::abs(ahead) / 60.0, 1) + " min " +
                                (ahead > 0.0 ? "ahead" : "behind") + " (u = " + fixed_text(shift->u_s / 60.0, 1) +
                                " min, " + fixed_text(100.0 * shift->share_fitted, 0) +
                                " % of daytime rows fit the clear sky within " + fixed_text(shift->residual_w_m2, 0) +
                                " W/m2); check the zone, or declare clock = { shift_s = " + fixed_text(ahead, 0) +
                                " } on top of what is declared"});
    }
    judge_brightness(series, place, plane, rules, findings);
    return findings;
}

std::vector<LogFinding> find_module_doubts(const ConditionsSeries& series, const QualityRules& rules) {
    std::map<std::string, std::vector<const ConditionsRow*>> bright_rows;
    for (const ConditionsRow& row : series.rows()) {
        if (row.poa > rules.too_cool_above && row.air.is_known() && row.module.is_known()) {
            bright_rows[date_of(row.time)].push_back(&row);
        }
    }
    std::vector<LogFinding> findings;
    for (const auto& [date, rows] : bright_rows) {
        if (auto finding = judge_day(date, rows, rules)) {
            findings.push_back(std::move(*finding));
        }
    }
    return findings;
}

}  // namespace heatrow
