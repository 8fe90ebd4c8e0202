#include "heatrow/sun/conditions.hpp"

#include "made_series.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Contains;
using Catch::Matchers::WithinAbs;
using heatrow::testing::after;
using heatrow::testing::made_rows;

namespace {

ConditionsLimits limits() {
    ConditionsLimits limits;
    limits.minimum_irradiance = WattsPerSquareMetre(600.0);
    limits.maximum_wind = MetresPerSecond(7.78);
    limits.maximum_change_per_minute = 0.1;
    limits.settling_time = std::chrono::minutes(15);
    limits.maximum_cloud_okta = 2.0;
    return limits;
}

double steady(double) {
    return 800.0;
}
double ramp(double s) {
    return 800.0 + s / 60.0;
}

// 800 W/m2, falling to 500 at 1,800 s.
double step(double s) {
    return s < 1800.0 ? 800.0 : 500.0;
}

}  // namespace

TEST_CASE("conditions: values between rows are linear in time", "[sun]") {
    const ConditionsSeries series(made_rows(61, 60.0, ramp));
    const auto at = series.at(after(1830.0), limits());
    REQUIRE(at);
    CHECK_THAT(at->irradiance.value.value(), WithinAbs(830.5, 1e-9));
    CHECK_THAT(at->wind.value.value(), WithinAbs(2.0, 1e-12));
    CHECK_THAT(at->air.value.value(), WithinAbs(20.0, 1e-12));
    CHECK(std::isnan(at->cloud_okta));
}

TEST_CASE("conditions: rows may come in any order", "[sun]") {
    auto rows = made_rows(61, 60.0, ramp);
    std::reverse(rows.begin(), rows.end());
    const ConditionsSeries series(rows);
    CHECK(series.begins() == after(0.0));
    CHECK(series.at(after(90.0), limits())->irradiance.value.value() == Approx(801.5));
}

TEST_CASE("conditions: outside the span a frame is rejected with the span in words", "[sun]") {
    const ConditionsSeries series(made_rows(61, 60.0, steady));
    for (const double s : {-1.0, 3601.0}) {
        const auto at = series.at(after(s), limits());
        REQUIRE_FALSE(at);
        CHECK(at.error().reason == RejectReason::no_conditions);
        CHECK_THAT(at.error().detail, Contains("2026-06-17T10:00:00Z to 2026-06-17T11:00:00Z"));
    }
    CHECK(series.at(after(0.0), limits()));
    CHECK(series.at(after(3600.0), limits()));
    CHECK_FALSE(ConditionsSeries().at(after(0.0), limits()));
}

TEST_CASE("conditions: means speak for half an interval beyond their outer rows", "[sun]") {
    LoggerDescription logger;
    logger.interval = std::chrono::minutes(1);
    const ConditionsSeries series(made_rows(10, 60.0, steady), logger);
    CHECK(series.at(after(-30.0), limits()));
    CHECK_FALSE(series.at(after(-31.0), limits()));
    CHECK(series.at(after(570.0), limits()));
}

TEST_CASE("conditions: nothing is interpolated over a gap", "[sun]") {
    auto rows = made_rows(61, 60.0, steady);
    rows.erase(rows.begin() + 20, rows.begin() + 30);
    const ConditionsSeries series(rows);
    const auto at = series.at(after(25 * 60.0), limits());
    REQUIRE_FALSE(at);
    CHECK_THAT(at.error().detail, Contains("gap"));
    CHECK(series.at(after(18.5 * 60.0), limits()));

    LoggerDescription patient;
    patient.maximum_gap = std::chrono::minutes(20);
    CHECK(ConditionsSeries(rows, patient).at(after(25 * 60.0), limits()));
}

TEST_CASE("conditions: a row without irradiance is bridged, a long stretch of them is a gap", "[sun]") {
    auto rows = made_rows(61, 60.0, ramp);
    rows[30].poa = WattsPerSquareMetre(kNaN);
    CHECK(ConditionsSeries(rows).at(after(1800.0), limits())->irradiance.value.value() == Approx(830.0));
    for (std::size_t i = 25; i < 40; ++i) {
        rows[i].poa = WattsPerSquareMetre(kNaN);
    }
    CHECK_FALSE(ConditionsSeries(rows).at(after(1920.0), limits()));
}

TEST_CASE("conditions: flags follow the limits", "[sun]") {
    auto rows = made_rows(61, 60.0, [](double) { return 599.0; });
    for (ConditionsRow& row : rows) {
        row.wind = MetresPerSecond(8.0);
    }
    const auto low = ConditionsSeries(rows).at(after(1800.0), limits());
    REQUIRE(low);
    CHECK(low->flags.has(Flag::irradiance_below_minimum));
    CHECK(low->flags.has(Flag::wind_above_maximum));
    CHECK(low->flags.has(Flag::load_unknown));
    CHECK_FALSE(low->flags.has(Flag::irradiance_unsteady));

    for (ConditionsRow& row : rows) {
        row.poa = WattsPerSquareMetre(601.0);
        row.wind = MetresPerSecond(7.0);
        row.load_fraction = 0.9;
    }
    const auto good = ConditionsSeries(rows).at(after(1800.0), limits());
    CHECK(good->flags.none());
    CHECK(good->load_fraction.value == Approx(0.9));
}

TEST_CASE("conditions: without limits nothing but the load is flagged", "[sun]") {
    const ConditionsSeries series(made_rows(61, 60.0, step));
    const auto at = series.at(after(1900.0), ConditionsLimits{});
    REQUIRE(at);
    Flags only;
    only.set(Flag::load_unknown);
    CHECK(at->flags == only);
}

TEST_CASE("conditions: a change of more than a tenth in a minute holds for the waiting time", "[sun]") {
    const ConditionsSeries series(made_rows(3601, 1.0, step));
    const auto unsteady = [&](double s) { return series.at(after(s), limits())->flags.has(Flag::irradiance_unsteady); };
    CHECK_FALSE(unsteady(1700.0));
    CHECK(unsteady(1800.0));
    CHECK(unsteady(1900.0));
    // The window of a minute still sees the step until 1,860 s: the wait ends 15 min later.
    CHECK(unsteady(1855.0 + 900.0));
    CHECK_FALSE(unsteady(1862.0 + 900.0));
}

TEST_CASE("conditions: steadiness is judged by the share, in both directions", "[sun]") {
    for (const double to : {800.0 * 1.09, 800.0 / 1.09}) {
        const ConditionsSeries series(made_rows(3601, 1.0, [to](double s) { return s < 1800.0 ? 800.0 : to; }));
        CHECK_FALSE(series.at(after(1900.0), limits())->flags.has(Flag::irradiance_unsteady));
    }
    for (const double to : {800.0 * 1.11, 800.0 / 1.11}) {
        const ConditionsSeries series(made_rows(3601, 1.0, [to](double s) { return s < 1800.0 ? 800.0 : to; }));
        CHECK(series.at(after(1900.0), limits())->flags.has(Flag::irradiance_unsteady));
    }
}

TEST_CASE("conditions: rows far apart are judged from neighbour to neighbour", "[sun]") {
    // 5 min rows: 12 % between neighbours may have happened within a minute.
    const auto rise = [](double s) { return s < 1800.0 ? 800.0 : 900.0; };
    const ConditionsSeries series(made_rows(13, 300.0, rise));
    CHECK(series.at(after(2000.0), limits())->flags.has(Flag::irradiance_unsteady));
    // 2 % from row to row is a clear morning.
    const auto morning = [](double s) { return 700.0 + 14.0 * s / 300.0; };
    CHECK_FALSE(ConditionsSeries(made_rows(13, 300.0, morning))
                    .at(after(2000.0), limits())
                    ->flags.has(Flag::irradiance_unsteady));
}

TEST_CASE("conditions: the module feels a step late, with the published time constant", "[sun]") {
    const ConditionsSeries series(made_rows(7201, 1.0, step));
    const double rate = thermal_rate_per_s(MetresPerSecond(2.0));
    for (const double since : {60.0, 300.0, 900.0}) {
        const auto at = series.at(after(1800.0 + since), limits());
        // The step lies between two rows: half a second early on the mean.
        const double expected = 500.0 + 300.0 * std::exp(-rate * (since + 0.5));
        CHECK_THAT(at->irradiance_felt.value.value(), WithinAbs(expected, 2.5));
        CHECK(at->irradiance.value.value() == Approx(500.0));
        CHECK(at->irradiance_felt.u > at->irradiance.u);
    }
    const auto before = series.at(after(1790.0), limits());
    CHECK_THAT(before->irradiance_felt.value.value(), WithinAbs(800.0, 1e-6));
}

TEST_CASE("conditions: uncertainty of the irradiance joins gain and zero", "[sun]") {
    const ConditionsSeries series(made_rows(7201, 1.0, steady));
    const auto at = series.at(after(7000.0), limits());
    CHECK_THAT(at->irradiance.u, WithinAbs(std::hypot(0.025 * 800.0, 5.0), 1e-9));
    CHECK_THAT(at->irradiance_felt.u, WithinAbs(std::hypot(0.025 * 800.0, 5.0), 1e-6));
}

TEST_CASE("conditions: a distant logger is less sure where the irradiance changes", "[sun]") {
    LoggerDescription far;
    far.distance = Metres(500.0);  // a cloud edge may be 50 s early or late
    const auto rows = made_rows(7201, 1.0, step);
    const ConditionsSeries near_series(rows);
    const ConditionsSeries far_series(rows, far);
    const auto near_edge = far_series.at(after(1830.0), limits());
    CHECK_THAT(near_edge->irradiance.u,
               WithinAbs(std::hypot(std::hypot(0.025 * 500.0, 5.0), 150.0 / std::sqrt(3.0)), 0.5));
    CHECK(near_edge->irradiance.u > 5.0 * near_series.at(after(1830.0), limits())->irradiance.u);
    // Well away from the edge the distance does not matter.
    CHECK_THAT(far_series.at(after(900.0), limits())->irradiance.u,
               WithinAbs(near_series.at(after(900.0), limits())->irradiance.u, 1e-9));
}

TEST_CASE("conditions: a log that begins too late leaves the felt irradiance less sure", "[sun]") {
    const ConditionsSeries series(made_rows(7201, 1.0, steady));
    const auto early = series.at(after(60.0), limits());
    const auto late = series.at(after(7000.0), limits());
    CHECK(early->irradiance_felt.u > 5.0 * late->irradiance_felt.u);
    CHECK_THAT(early->irradiance_felt.value.value(), WithinAbs(800.0, 1e-6));
}

TEST_CASE("conditions: what lies between far rows enters the uncertainty", "[sun]") {
    const auto swing = [](double s) { return static_cast<int>(s / 300.0) % 2 == 0 ? 800.0 : 700.0; };
    const ConditionsSeries series(made_rows(13, 300.0, swing));
    const double plain = std::hypot(0.025 * 750.0, 5.0);
    CHECK_THAT(series.at(after(1950.0), limits())->irradiance.u,
               WithinAbs(std::hypot(plain, 50.0 / std::sqrt(3.0)), 1e-6));
    CHECK_THAT(series.at(after(1800.0), limits())->irradiance.u, WithinAbs(std::hypot(0.025 * 800.0, 5.0), 1e-9));
}

TEST_CASE("conditions: observed cloud holds for its lifetime", "[sun]") {
    auto rows = made_rows(181, 60.0, steady);
    rows[10].cloud_okta = 3.0;
    const ConditionsSeries series(rows);
    CHECK(std::isnan(series.at(after(500.0), limits())->cloud_okta));
    const auto soon = series.at(after(1200.0), limits());
    CHECK(soon->cloud_okta == 3.0);
    CHECK(soon->flags.has(Flag::cloud_above_maximum));
    CHECK(std::isnan(series.at(after(600.0 + 3700.0), limits())->cloud_okta));
    CHECK_FALSE(series.at(after(500.0), limits())->flags.has(Flag::cloud_above_maximum));
}
