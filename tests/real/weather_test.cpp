// Measured irradiance, wind, air and module temperatures of a January week (SOURCES.md of the data): module
// temperature, planted clock shifts, the day with snow.
#include "heatrow/io/conditions_log.hpp"
#include "heatrow/sun/clock_shift.hpp"
#include "heatrow/sun/module_temperature.hpp"
#include "heatrow/sun/series_quality.hpp"
#include "real_data.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>

using namespace heatrow;
using Catch::Matchers::WithinAbs;

namespace {

// Local standard time, UTC-7, no zone written.
Clock mountain_standard() {
    Clock clock;
    clock.scale = Clock::FixedOffset{std::chrono::hours(-7)};
    return clock;
}

ConditionsLog weather_log() {
    ConditionsLogOptions options;
    options.columns = {{"ghi", "Global Horizontal"}, {"wind_speed", "Wind Speed"}, {"temp_air", "Ambient Temperature"}};
    return read_conditions_log(real::folder() / "rmis_weather_data.csv", mountain_standard(), options);
}

// One of the three sensors behind a module.
ConditionsLog module_log(int sensor) {
    const std::string column = "module_temp_" + std::to_string(sensor) + "__78" + std::to_string(sensor);
    ConditionsLogOptions options;
    options.columns = {
        {"poa_global", "poa_irradiance__771"}, {"temp_air", "ambient_temp__780"}, {"temp_module", column}};
    return read_conditions_log(real::folder() / "serf_west_15min.csv", mountain_standard(), options);
}

const Place kGolden{degrees(39.742), degrees(-105.18), Metres(1829.0)};

// Nearest earlier row; the wind of SOURCES.md's own figures.
const ConditionsRow& nearest_earlier(const ConditionsSeries& series, UtcTime time) {
    const auto after = std::upper_bound(
        series.rows().begin(), series.rows().end(), time, [](UtcTime t, const auto& row) { return t < row.time; });
    return *std::prev(after);
}

double median(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    const std::size_t n = values.size();
    return n % 2 == 1 ? values[n / 2] : (values[n / 2 - 1] + values[n / 2]) / 2.0;
}

std::string local_date(UtcTime time) {
    return to_iso8601(time - std::chrono::hours(7)).substr(0, 10);
}

struct DayFigures {
    std::vector<double> measured;   // rise of the mean of the three sensors
    std::vector<double> predicted;  // by Faiman, 25 and 6.84, not tuned
};

std::map<std::string, DayFigures> rises_by_day() {
    const std::vector<ConditionsLog> sensors{module_log(1), module_log(2), module_log(3)};
    const ConditionsLog weather = weather_log();
    std::map<std::string, DayFigures> days;
    const auto& rows = sensors.front().series.rows();
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const ConditionsRow& row = rows[i];
        if (!(row.poa.value() > 400.0) || row.time > weather.series.ends()) {
            continue;
        }
        double module = 0.0;
        for (const ConditionsLog& sensor : sensors) {
            module += sensor.series.rows()[i].module.value() / 3.0;
        }
        const MetresPerSecond wind = nearest_earlier(weather.series, row.time).wind;
        DayFigures& day = days[local_date(row.time)];
        if (!std::isnan(module) && wind.is_known()) {
            day.measured.push_back(module - row.air.value());
            day.predicted.push_back((faiman_temperature(row.poa, row.air, wind) - row.air).value());
        }
    }
    return days;
}

ConditionsSeries shifted(const ConditionsSeries& series, std::chrono::minutes by) {
    std::vector<ConditionsRow> rows = series.rows();
    for (ConditionsRow& row : rows) {
        row.time += by;
    }
    return ConditionsSeries(rows, series.logger());
}

}  // namespace

TEST_CASE("weather: daily median rise of the module by Faiman is within 3 K of the sensors' mean", "[real]") {
    const auto days = rises_by_day();
    for (const char* date : {"2022-01-02", "2022-01-03", "2022-01-04"}) {
        REQUIRE(days.count(date) == 1);
        const DayFigures& day = days.at(date);
        REQUIRE(day.measured.size() >= 15);
        double squares = 0.0;
        for (std::size_t i = 0; i < day.measured.size(); ++i) {
            squares += std::pow(day.measured[i] - day.predicted[i], 2.0);
        }
        const double measured = median(day.measured);
        const double predicted = median(day.predicted);
        std::printf("%s: median rise measured %.1f K, predicted %.1f K; RMSE %.1f K over %zu rows\n",
                    date,
                    measured,
                    predicted,
                    std::sqrt(squares / static_cast<double>(day.measured.size())),
                    day.measured.size());
        CHECK_THAT(predicted, WithinAbs(measured, 3.0));
    }
}

TEST_CASE("weather: a planted clock shift is found within 5 minutes", "[real]") {
    const ConditionsSeries series = weather_log().series;
    for (const int planted : {-60, -23, -10, 0, 10, 17, 35, 60}) {
        const auto found =
            estimate_clock_shift(shifted(series, std::chrono::minutes(planted)), kGolden, {{}, true, 0.2});
        REQUIRE(found);
        std::printf("planted %d min: found %.1f min, u %.1f min, residual %.0f W/m2, %.0f %% of daytime rows fit\n",
                    planted,
                    found->ahead.value() / 60.0,
                    found->u_s / 60.0,
                    found->residual_w_m2,
                    100.0 * found->share_fitted);
        CHECK_THAT(found->ahead.value() / 60.0, WithinAbs(planted, 5.0));
    }
}

TEST_CASE("weather: a shift of an hour is told in words, none where the clock is right", "[real]") {
    const auto has_shift = [](const ConditionsSeries& series) {
        const auto findings = find_sky_doubts(series, kGolden, std::nullopt);
        return std::any_of(findings.begin(), findings.end(), [](const auto& f) { return f.kind == "clock_shift"; });
    };
    const ConditionsSeries series = weather_log().series;
    CHECK(has_shift(shifted(series, std::chrono::minutes(60))));
    CHECK(has_shift(shifted(series, std::chrono::minutes(-60))));
    CHECK_FALSE(has_shift(series));
}

TEST_CASE("weather: the day with snow is flagged, the clear days are not", "[real]") {
    for (const int sensor : {1, 2, 3}) {
        std::vector<std::string> snow;
        for (const LogFinding& finding : find_module_doubts(module_log(sensor).series)) {
            std::printf("sensor %d: %s, %s\n", sensor, finding.kind.c_str(), finding.text.c_str());
            if (finding.kind == "snow_suspected") {
                snow.push_back(finding.text.substr(0, 10));
            }
        }
        CHECK(snow == std::vector<std::string>{"2022-01-06"});
    }
}

TEST_CASE("weather: the logs are read whole, with what was left out named", "[real]") {
    const ConditionsLog weather = weather_log();
    CHECK(weather.rows_read == 1151);
    CHECK_THAT(weather.date_order, Catch::Contains("month/day/year"));
    CHECK(module_log(1).rows_read == 480);
    CHECK(module_log(1).series.usual_spacing() == std::chrono::minutes(15));
}
