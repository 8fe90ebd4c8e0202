#include "heatrow/sun/transposition.hpp"

#include "heatrow/sun/plane_conditions.hpp"
#include "heatrow/sun/solar_geometry.hpp"
#include "made_series.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Matchers::WithinAbs;
using heatrow::testing::after;
using heatrow::testing::made_rows;

namespace {

const Place kPlace{degrees(40.1), degrees(-3.65), Metres(650.0)};
const PlaneOrientation kModules{degrees(30.0), degrees(180.0)};

SolarPosition sun_at(double seconds) {
    return solar_position(after(seconds), kPlace);
}

}  // namespace

TEST_CASE("transposition: on the horizontal every model gives the global irradiance back", "[sun]") {
    const SolarPosition sun = sun_at(3600.0);
    const WattsPerSquareMetre outside = extraterrestrial_normal(sun.earth_sun_distance_au, kSolarConstant);
    const SkyIrradiance sky = erbs(WattsPerSquareMetre(700.0), sun.true_zenith, outside);
    SkyOverPlane over{
        sky, outside, sun.zenith, std::cos(sun.zenith.value()), relative_air_mass(sun.zenith), Radians(0.0)};
    for (const WattsPerSquareMetre diffuse : {isotropic_sky_diffuse(sky.diffuse, over.tilt),
                                              hay_davies_sky_diffuse(over),
                                              reindl_sky_diffuse(over),
                                              perez_sky_diffuse(over).total}) {
        CHECK_THAT(diffuse.value(), WithinAbs(sky.diffuse.value(), 1e-9));
    }
    // Refraction makes a few hundredths of a percent between the two zenith angles.
    CHECK_THAT(plane_irradiance(sky, sun, {}, 0.2).value(), WithinAbs(700.0, 0.5));
}

TEST_CASE("erbs: beam and diffuse add up, overcast is diffuse, clear is mostly beam", "[sun]") {
    const Radians zenith = degrees(40.0);
    for (const double global : {50.0, 300.0, 600.0, 900.0}) {
        const SkyIrradiance sky = erbs(WattsPerSquareMetre(global), zenith, WattsPerSquareMetre(1340.0));
        CHECK_THAT(sky.direct.value() * std::cos(zenith.value()) + sky.diffuse.value(), WithinAbs(global, 1e-9));
    }
    const double dull = erbs(WattsPerSquareMetre(50.0), zenith, WattsPerSquareMetre(1340.0)).diffuse.value() / 50.0;
    const double bright = erbs(WattsPerSquareMetre(850.0), zenith, WattsPerSquareMetre(1340.0)).diffuse.value() / 850.0;
    CHECK(dull > 0.98);
    CHECK(bright < 0.2);
}

TEST_CASE("carry: to its own plane a reading stays, there and back it returns", "[sun]") {
    const SolarPosition sun = sun_at(7200.0);
    for (const double reading : {150.0, 500.0, 850.0}) {
        const auto same = carry_to_plane(WattsPerSquareMetre(reading), kModules, kModules, sun, 0.2);
        CHECK_THAT(same.value.value(), WithinAbs(reading, 1e-6));
        const PlaneOrientation roof{degrees(15.0), degrees(100.0)};
        const auto there = carry_to_plane(WattsPerSquareMetre(reading), kModules, roof, sun, 0.2);
        const auto back = carry_to_plane(there.value, roof, kModules, sun, 0.2);
        CHECK_THAT(back.value.value(), WithinAbs(reading, 0.5));
        CHECK(there.model_u_share > same.model_u_share);
    }
}

TEST_CASE("carry: a plane turned to the sun gets more than the horizontal", "[sun]") {
    const SolarPosition sun = sun_at(-3.0 * 3600.0);  // 07:00, sun in the east
    const auto east = carry_to_plane(WattsPerSquareMetre(300.0), {}, {degrees(40.0), degrees(90.0)}, sun, 0.2);
    const auto west = carry_to_plane(WattsPerSquareMetre(300.0), {}, {degrees(40.0), degrees(270.0)}, sun, 0.2);
    CHECK(east.value.value() > 400.0);
    CHECK(west.value.value() < 150.0);
}

TEST_CASE("carry: nothing is said with the sun below 5 degrees or of a reading beyond explanation", "[sun]") {
    const SolarPosition low = sun_at(-6.0 * 3600.0);
    CHECK_FALSE(carry_to_plane(WattsPerSquareMetre(20.0), {}, kModules, low, 0.2).value.is_known());
    CHECK_FALSE(carry_to_plane(WattsPerSquareMetre(3000.0), {}, kModules, sun_at(7200.0), 0.2).value.is_known());
}

TEST_CASE("module plane: a series measured there is left alone", "[sun]") {
    const ConditionsSeries series(made_rows(10, 60.0, [](double) { return 800.0; }));
    CHECK_FALSE(needs_transposition(series, kModules));
    CHECK_FALSE(in_module_plane(series, kPlace, kModules).logger().irradiance_is_modelled);
}

TEST_CASE("module plane: horizontal irradiance is carried over and marked as modelled", "[sun]") {
    auto rows = made_rows(10, 60.0, [](double) { return kNaN; });
    for (ConditionsRow& row : rows) {
        row.ghi = WattsPerSquareMetre(800.0);
    }
    const ConditionsSeries series(rows);
    REQUIRE(needs_transposition(series, kModules));
    const ConditionsSeries carried = in_module_plane(series, kPlace, kModules);
    const auto at = carried.at(after(120.0), ConditionsLimits{});
    REQUIRE(at);
    CHECK(at->irradiance_is_modelled);
    CHECK(at->irradiance.value.value() > 800.0);
    CHECK(at->irradiance.value.value() < 1000.0);
    CHECK(at->irradiance.u > 0.03 * at->irradiance.value.value());
    CHECK_FALSE(needs_transposition(carried, kModules));
}

TEST_CASE("module plane: measured beam and diffuse are used where there are", "[sun]") {
    auto rows = made_rows(3, 60.0, [](double) { return kNaN; });
    for (ConditionsRow& row : rows) {
        row.ghi = WattsPerSquareMetre(400.0);
        row.dni = WattsPerSquareMetre(0.0);
        row.dhi = WattsPerSquareMetre(400.0);
    }
    const ConditionsSeries carried = in_module_plane(ConditionsSeries(rows), kPlace, kModules);
    // A dull sky is even: tilting by 30 deg loses a few percent, and gains no beam.
    CHECK_THAT(carried.rows()[1].poa.value(), WithinAbs(385.0, 15.0));
}

TEST_CASE("module plane: a sensor in another plane is carried over", "[sun]") {
    LoggerDescription logger;
    logger.sensor_plane = PlaneOrientation{degrees(10.0), degrees(90.0)};
    const ConditionsSeries series(made_rows(10, 60.0, [](double) { return 700.0; }), logger);
    CHECK(needs_transposition(series, kModules));
    CHECK(in_module_plane(series, kPlace, kModules).logger().irradiance_is_modelled);
    logger.sensor_plane = PlaneOrientation{degrees(31.0), degrees(181.0)};
    CHECK_FALSE(needs_transposition(ConditionsSeries(series.rows(), logger), kModules));
}
