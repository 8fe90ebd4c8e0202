#include "module_conditions.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;

namespace {

constexpr UtcTime kStart = std::chrono::sys_days(std::chrono::year(2026) / 6 / 17) + std::chrono::hours(9);

UtcTime minute(int minutes) {
    return kStart + std::chrono::minutes(minutes);
}

ConditionsSeries series_of(double irradiance_w_m2) {
    std::vector<ConditionsRow> rows;
    for (int i = 0; i <= 60; ++i) {
        ConditionsRow row;
        row.time = minute(i);
        row.poa = WattsPerSquareMetre(irradiance_w_m2);
        row.air = Celsius(20.0);
        rows.push_back(row);
    }
    return ConditionsSeries(rows);
}

// Two modules to the south in S1 with 800 W/m2, one to the east in S2 with 500 W/m2.
Layout layout() {
    Layout made;
    ModuleType type;
    type.rated_current_a = 10.0;
    made.types = {type};
    made.modules.resize(3);
    made.modules[0].string = 0;
    made.modules[1].string = 0;
    made.modules[2].string = 1;
    made.strings = {{"S1", {0, 1}}, {"S2", {2}}};
    return made;
}

SiteConditions two_planes(double east_w_m2 = 500.0) {
    SiteConditions site;
    site.planes.push_back({{degrees(30.0), degrees(180.0)}, PlaneSource::measured, 2, series_of(800.0)});
    site.planes.push_back({{degrees(10.0), degrees(90.0)}, PlaneSource::other_plane, 1, series_of(east_w_m2)});
    site.plane_of_module = {0, 0, 1};
    return site;
}

ConditionsLimits limits() {
    ConditionsLimits made;
    made.minimum_irradiance = WattsPerSquareMetre(600.0);
    return made;
}

const std::vector<UtcTime> kFrames{minute(20), minute(40)};

}  // namespace

TEST_CASE("module conditions: each module has the light of its own plane, and its limit is held against that",
          "[pipeline]") {
    const ModuleConditions conditions(layout(), two_planes(), std::nullopt, kFrames, limits());
    CHECK(conditions.of_module(0, 0).irradiance.value.value() == Approx(800.0));
    CHECK(conditions.of_module(2, 0).irradiance.value.value() == Approx(500.0));
    CHECK(conditions.of_module(2, 0).irradiance_felt.value.value() == Approx(500.0));
    CHECK_FALSE(conditions.of_module(0, 0).flags.has(Flag::irradiance_below_minimum));
    CHECK(conditions.of_module(2, 0).flags.has(Flag::irradiance_below_minimum));
    CHECK(conditions.of_frame(0)->irradiance.value.value() == Approx(800.0));
}

TEST_CASE("module conditions: a plane without light of its own has none, not another's", "[pipeline]") {
    const ModuleConditions conditions(layout(), two_planes(kNaN), std::nullopt, kFrames, limits());
    CHECK_FALSE(conditions.of_module(2, 0).irradiance.is_known());
    CHECK_FALSE(conditions.of_module(2, 0).irradiance_felt.is_known());
    CHECK(conditions.of_module(2, 0).air.value.value() == 20.0);
}

TEST_CASE("module conditions: a string's load is its own, by the light of its own plane", "[pipeline]") {
    ElectricalReadings readings;
    readings.strings["S1"] = {{minute(20), 7.6, 620.0}};
    readings.strings["S2"] = {{minute(20), 0.05, 700.0}};
    const ModuleConditions conditions(layout(), two_planes(), readings, kFrames, limits());
    CHECK(conditions.of_module(0, 0).load_fraction.value == Approx(0.95));
    CHECK(conditions.of_module(2, 0).load_fraction.value == Approx(0.01));
    CHECK(conditions.of_module(0, 0).load_fraction.u > 0.0);
    const StringLoad load = conditions.load_of(1, {0});
    CHECK(load.fraction.value == Approx(0.01));
    CHECK(load.current_a == 0.05);
    CHECK(load.voltage_v == 700.0);
}

TEST_CASE("module conditions: a load is unknown only where nothing was read in time", "[pipeline]") {
    ElectricalReadings readings;
    readings.strings["S1"] = {{minute(20), 7.6, 620.0}};
    const ModuleConditions conditions(layout(), two_planes(), readings, kFrames, limits());
    CHECK_FALSE(conditions.of_frame(0)->flags.has(Flag::load_unknown));
    CHECK(conditions.of_frame(1)->flags.has(Flag::load_unknown));  // 20 minutes later
    CHECK_FALSE(conditions.of_module(2, 0).load_fraction.is_known());
    CHECK_FALSE(conditions.of_module(0, 1).load_fraction.is_known());
    CHECK_FALSE(conditions.load_of(1, {0, 1}).fraction.is_known());
    CHECK(conditions.load_of(0, {0, 1}).fraction.value == Approx(0.95));
    CHECK(std::isnan(conditions.load_of(0, {}).current_a));
}
