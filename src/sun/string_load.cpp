#include "heatrow/sun/string_load.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

constexpr WattsPerSquareMetre kDark{50.0};

Uncertain<double> fraction_of(const StringReading& reading,
                              const ConditionsSeries& series,
                              const StringLoadOptions& options) {
    const auto irradiance = series.irradiance_at(reading.time);
    if (!irradiance || *irradiance < kDark || std::isnan(reading.current_a) || !(options.rated_current_a > 0.0)) {
        return {kNaN, kNaN};
    }
    const double expected_a = options.rated_current_a * irradiance->value() / 1000.0;
    const double fraction = reading.current_a / expected_a;
    const double meter = combine_independent(options.meter_u_share * reading.current_a, options.meter_u_a) / expected_a;
    const double irradiance_share = series.irradiance_gain_u(reading.time, *irradiance) / irradiance->value();
    return {fraction, combine_independent(meter, fraction * options.rated_current_u, fraction * irradiance_share)};
}

}  // namespace

Uncertain<double> load_fraction_at(const std::vector<StringReading>& readings,
                                   UtcTime time,
                                   const ConditionsSeries& series,
                                   const StringLoadOptions& options) {
    const auto after = std::lower_bound(
        readings.begin(), readings.end(), time, [](const StringReading& r, UtcTime t) { return r.time < t; });
    Uncertain<double> later{kNaN, kNaN};
    Uncertain<double> earlier{kNaN, kNaN};
    UtcTime later_time{};
    UtcTime earlier_time{};
    for (auto it = after; it != readings.end() && it->time - time <= options.reach && !later.is_known(); ++it) {
        later = fraction_of(*it, series, options);
        later_time = it->time;
    }
    for (auto it = after; it != readings.begin() && !earlier.is_known();) {
        --it;
        if (time - it->time > options.reach) {
            break;
        }
        earlier = fraction_of(*it, series, options);
        earlier_time = it->time;
    }
    if (!later.is_known() || !earlier.is_known()) {
        return later.is_known() ? later : earlier;
    }
    const double span = static_cast<double>((later_time - earlier_time).count());
    const double share = span > 0.0 ? static_cast<double>((time - earlier_time).count()) / span : 0.0;
    const double value = earlier.value + share * (later.value - earlier.value);
    // Rating and irradiance gain are common to both readings: they do not average out.
    const double u = std::max(earlier.u, later.u);
    const double between = share > 0.0 && share < 1.0 ? std::abs(later.value - earlier.value) / 2.0 : 0.0;
    return {value, combine_independent(u, between)};
}

std::optional<StringReading> nearest_reading(const std::vector<StringReading>& readings,
                                             UtcTime time,
                                             std::chrono::seconds reach) {
    std::optional<StringReading> nearest;
    for (const StringReading& reading : readings) {
        const auto distance = std::chrono::abs(reading.time - time);
        if (!std::isnan(reading.current_a) && distance <= reach &&
            (!nearest || distance < std::chrono::abs(nearest->time - time))) {
            nearest = reading;
        }
    }
    return nearest;
}

}  // namespace heatrow
