#include "heatrow/sun/clock_shift.hpp"

#include "heatrow/sun/clear_sky.hpp"
#include "heatrow/sun/solar_geometry.hpp"
#include "heatrow/sun/transposition.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace heatrow {
namespace {

constexpr double kStepS = 60.0;  // grid of the clear-sky curve and least distance of readings
constexpr double kFarthestS = 3.0 * 3600.0;
constexpr double kCoarseS = 300.0;
constexpr double kFineS = 15.0;
constexpr double kFitShare = 0.04;         // a reading fits within this share of the day's highest clear-sky value
constexpr double kLeastShare = 1.0 / 3.0;  // of the daytime readings
constexpr int kLeastRows = 30;
// Scale and shift are told apart only by readings on both flanks: below this share of the highest, so many each.
constexpr double kFlankShare = 0.85;
constexpr int kLeastOnFlank = 5;

struct Reading {
    double at_s;  // since the day's grid begins
    double value;
};

// One solar day: readings, and the clear-sky curve on a grid that reaches beyond them by the farthest shift.
struct Day {
    std::vector<Reading> readings;
    std::vector<double> clear;
    double highest = 0.0;
    double peak_s = 0.0;  // where the curve is highest

    // Linear between grid points; 0 outside.
    [[nodiscard]] double clear_at(double seconds) const {
        const double at = seconds / kStepS;
        if (!(at >= 0.0) || at >= static_cast<double>(clear.size() - 1)) {
            return 0.0;
        }
        const auto before = static_cast<std::size_t>(at);
        const double fraction = at - static_cast<double>(before);
        return clear[before] + fraction * (clear[before + 1] - clear[before]);
    }
};

double value_of(const ConditionsRow& row, const ClockShiftOptions& options) {
    return options.horizontal ? row.ghi.value() : row.poa.value();
}

// The readings around one transit, at most one a minute, and the curve.
Day make_day(const ConditionsSeries& series, UtcTime transit, const Place& place, const ClockShiftOptions& options) {
    using std::chrono::milliseconds;
    constexpr std::chrono::hours kHalfDay(12);
    const UtcTime begin = transit - kHalfDay;
    Day day;
    std::optional<double> last;
    for (const ConditionsRow& row : series.rows()) {
        const double value = value_of(row, options);
        if (row.time < begin || row.time > transit + kHalfDay || std::isnan(value)) {
            continue;
        }
        const double at = static_cast<double>((row.time - begin).count()) / 1000.0;
        if (!last || at - *last >= kStepS) {
            day.readings.push_back({at, value});
            last = at;
        }
    }
    const PlaneOrientation plane = options.horizontal ? PlaneOrientation{} : options.plane;
    const auto steps = static_cast<int>(2.0 * 12.0 * 3600.0 / kStepS);
    day.clear.reserve(static_cast<std::size_t>(steps) + 1);
    // The model is costly and smooth: every fifth point, linear between.
    constexpr int kEvery = 5;
    double from = 0.0;
    for (int i = 0; i <= steps; ++i) {
        if (i % kEvery == 0) {
            const UtcTime time = begin + milliseconds(static_cast<std::int64_t>(i * kStepS * 1000.0));
            const double here = clear_sky_on_plane(time, place, plane, options.albedo).value();
            for (int k = 1; k < kEvery && i > 0; ++k) {
                day.clear[static_cast<std::size_t>(i - kEvery + k)] = from + (here - from) * k / kEvery;
            }
            from = here;
        }
        day.clear.push_back(i % kEvery == 0 ? from : 0.0);
        if (day.clear.back() > day.highest) {
            day.highest = day.clear.back();
            day.peak_s = i * kStepS;
        }
    }
    return day;
}

struct Fit {
    double cost = 0.0;  // per reading: capped absolute deviation as a share of the cap
    int fitted = 0;
    int daytime = 0;
    double squares = 0.0;  // of the fitted
    int rising = 0;        // fitted on the morning's flank, and on the evening's
    int falling = 0;
};

// Readings against the curve shifted by `ahead_s` and scaled by `k`.
Fit fit_day(const Day& day, double ahead_s, double k) {
    Fit fit;
    const double cap = kFitShare * day.highest;
    for (const Reading& reading : day.readings) {
        const double expected = k * day.clear_at(reading.at_s - ahead_s);
        if (expected < cap && reading.value < cap) {
            continue;  // night in both
        }
        const double off = std::abs(reading.value - expected);
        ++fit.daytime;
        fit.cost += std::min(off / cap, 1.0);
        if (off < cap) {
            ++fit.fitted;
            fit.squares += off * off;
            const double at = reading.at_s - ahead_s;
            if (day.clear_at(at) < kFlankShare * day.highest) {
                ++(at < day.peak_s ? fit.rising : fit.falling);
            }
        }
    }
    return fit;
}

Fit best_fit(const Day& day, double ahead_s) {
    Fit best;
    best.cost = 1e300;
    for (double k = 0.70; k < 1.301; k += 0.01) {
        const Fit fit = fit_day(day, ahead_s, k);
        if (fit.cost < best.cost) {
            best = fit;
        }
    }
    return best;
}

double total_cost(const std::vector<Day>& days, double ahead_s) {
    double cost = 0.0;
    for (const Day& day : days) {
        cost += best_fit(day, ahead_s).cost;
    }
    return cost;
}

double search(const std::vector<Day>& days, double from, double to, double step) {
    double best_ahead = from;
    double best_cost = 1e300;
    for (double ahead = from; ahead <= to + 1e-9; ahead += step) {
        const double cost = total_cost(days, ahead);
        if (cost < best_cost) {
            best_cost = cost;
            best_ahead = ahead;
        }
    }
    return best_ahead;
}

double search(const std::vector<Day>& days) {
    const double coarse = search(days, -kFarthestS, kFarthestS, kCoarseS);
    return search(days, coarse - kCoarseS, coarse + kCoarseS, kFineS);
}

std::vector<Day> make_days(const ConditionsSeries& series, const Place& place, const ClockShiftOptions& options) {
    std::vector<Day> days;
    if (series.empty()) {
        return days;
    }
    UtcTime transit = sun_day(series.begins(), place).transit;
    for (; transit < series.ends() + std::chrono::hours(12);
         transit = sun_day(transit + std::chrono::hours(24), place).transit) {
        Day day = make_day(series, transit, place, options);
        if (!day.readings.empty() && day.highest > 0.0) {
            days.push_back(std::move(day));
        }
    }
    return days;
}

// Half the width over which the cost stays within a twentieth of the range above its least.
double width_of_minimum(const std::vector<Day>& days, double ahead) {
    const double least = total_cost(days, ahead);
    const double away = total_cost(days, ahead + kFarthestS / 2.0);
    const double limit = least + 0.05 * std::max(away - least, 1e-9);
    double width = kFineS;
    while (width < kFarthestS && total_cost(days, ahead + width) < limit && total_cost(days, ahead - width) < limit) {
        width += kFineS;
    }
    return width;
}

}  // namespace

WattsPerSquareMetre clear_sky_on_plane(
    UtcTime time, const Place& place, const PlaneOrientation& plane, double albedo, double linke_turbidity) {
    const SolarPosition sun = solar_position(time, place);
    if (!(in_degrees(sun.zenith) < 89.0)) {
        return WattsPerSquareMetre(0.0);
    }
    const double air_mass = absolute_air_mass(relative_air_mass(sun.zenith), standard_pressure_hpa(place.elevation));
    const WattsPerSquareMetre outside = extraterrestrial_normal(sun.earth_sun_distance_au, kSolarConstant);
    const SkyIrradiance sky = ineichen_perez(sun.zenith, air_mass, linke_turbidity, place.elevation, outside);
    return plane_irradiance(sky, sun, plane, albedo);
}

std::optional<ClockShift> estimate_clock_shift(const ConditionsSeries& series,
                                               const Place& place,
                                               const ClockShiftOptions& options) {
    const std::vector<Day> days = make_days(series, place, options);
    if (days.empty()) {
        return std::nullopt;
    }
    const double ahead = search(days);
    ClockShift shift;
    double squares = 0.0;
    int daytime = 0;
    int rising = 0;
    int falling = 0;
    std::vector<double> by_day;
    for (const Day& day : days) {
        const Fit fit = best_fit(day, ahead);
        shift.rows_fitted += fit.fitted;
        daytime += fit.daytime;
        squares += fit.squares;
        rising += fit.rising;
        falling += fit.falling;
        if (fit.rising >= kLeastOnFlank && fit.falling >= kLeastOnFlank && fit.fitted >= kLeastRows / 2 &&
            fit.fitted >= kLeastShare * fit.daytime) {
            by_day.push_back(search({day}));
        }
    }
    shift.days = static_cast<int>(by_day.size());
    shift.share_fitted = daytime > 0 ? static_cast<double>(shift.rows_fitted) / daytime : 0.0;
    if (shift.rows_fitted < kLeastRows || shift.share_fitted < kLeastShare || rising < kLeastOnFlank ||
        falling < kLeastOnFlank) {
        return std::nullopt;
    }
    shift.ahead = Seconds(ahead);
    shift.residual_w_m2 = std::sqrt(squares / shift.rows_fitted);
    shift.u_s = width_of_minimum(days, ahead);
    if (by_day.size() >= 2) {
        double scatter = 0.0;
        for (const double one : by_day) {
            scatter += (one - ahead) * (one - ahead);
        }
        const auto n = static_cast<double>(by_day.size());
        shift.u_s = std::max(shift.u_s, std::sqrt(scatter / (n - 1.0) / n));
    }
    return shift;
}

}  // namespace heatrow
