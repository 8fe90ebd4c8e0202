// Series for tests: a day's start, rows a fixed time apart, irradiance by a function of the seconds since.
#pragma once

#include "heatrow/sun/conditions.hpp"

#include <chrono>

namespace heatrow::testing {

inline const UtcTime kStart = std::chrono::sys_days(std::chrono::year(2026) / 6 / 17) + std::chrono::hours(10);

inline UtcTime after(double seconds) {
    return kStart + std::chrono::milliseconds(static_cast<std::int64_t>(seconds * 1000.0));
}

// Air 20 degC, wind 2 m/s.
template <class Irradiance>
std::vector<ConditionsRow> made_rows(int count, double apart_s, Irradiance irradiance) {
    std::vector<ConditionsRow> rows;
    for (int i = 0; i < count; ++i) {
        ConditionsRow row;
        row.time = after(i * apart_s);
        row.poa = WattsPerSquareMetre(irradiance(i * apart_s));
        row.wind = MetresPerSecond(2.0);
        row.air = Celsius(20.0);
        rows.push_back(row);
    }
    return rows;
}

}  // namespace heatrow::testing
