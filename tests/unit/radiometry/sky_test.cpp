#include "heatrow/radiometry/sky.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Matchers::WithinAbs;

namespace {

const BandRadiance& band() {
    static const BandRadiance table(Band{7.5, 14.0});
    return table;
}

constexpr ClearSky kSky{0.28, KelvinDelta(10.0)};

double sky_at(double elevation_deg, Celsius air = Celsius(25.0)) {
    return sky_temperature(air, std::sin(degrees(elevation_deg).value()), kSky, band()).value();
}

}  // namespace

TEST_CASE("sky: coldest at the zenith, at air temperature on the horizon", "[radiometry]") {
    // 0.28 of L(25 degC) = 57.6095 W/(m2 sr) is 16.131, which belongs to -39.5 degC (table of in-band radiance)
    CHECK_THAT(sky_at(90.0), WithinAbs(-39.5, 0.05));
    for (int elevation = 0; elevation < 90; ++elevation) {
        CHECK(sky_at(elevation + 1.0) <= sky_at(elevation));
    }
    CHECK_THAT(sky_at(0.0), WithinAbs(25.0, 1e-9));
    CHECK(sky_at(10.0) > 0.0);
}

TEST_CASE("sky: a path of two thicknesses lets through the square of what one does", "[radiometry]") {
    const double air = band().radiance(Celsius(25.0));
    const double one = band().radiance(Celsius(sky_at(90.0))) / air;
    const double two = band().radiance(Celsius(sky_at(30.0))) / air;
    CHECK_THAT(1.0 - two, WithinAbs((1.0 - one) * (1.0 - one), 1e-9));
}

TEST_CASE("sky: below the horizon lies the ground; unknown air and impossible directions are NaN", "[radiometry]") {
    CHECK_THAT(sky_at(-1.0), WithinAbs(35.0, 1e-12));
    CHECK_THAT(sky_at(-90.0), WithinAbs(35.0, 1e-12));
    CHECK(std::isnan(sky_at(45.0, Celsius(kNaN))));
    CHECK(std::isnan(sky_temperature(Celsius(25.0), 1.01, kSky, band()).value()));
    CHECK(std::isnan(sky_temperature(Celsius(25.0), kNaN, kSky, band()).value()));
    CHECK_THAT(sky_temperature(Celsius(25.0), 0.4, {1.0, KelvinDelta(0.0)}, band()).value(), WithinAbs(25.0, 1e-9));
}

TEST_CASE("mirrored ray: level, tilted and upright surfaces", "[radiometry]") {
    const Eigen::Vector3d down(0.0, 0.0, -1.0);
    // looking straight down onto a level surface: straight up
    CHECK_THAT(mirrored_sine_of_elevation(down, {0.0, 0.0, 1.0}), WithinAbs(1.0, 1e-12));
    // onto one that is tilted by 25 degrees: 50 degrees from the zenith
    const double tilt = degrees(25.0).value();
    CHECK_THAT(mirrored_sine_of_elevation(down, {0.0, -std::sin(tilt), std::cos(tilt)}),
               WithinAbs(std::cos(2.0 * tilt), 1e-12));
    // level sight onto a wall: comes back level; down onto a wall: goes on down
    CHECK_THAT(mirrored_sine_of_elevation({0.0, 1.0, 0.0}, {0.0, -1.0, 0.0}), WithinAbs(0.0, 1e-12));
    CHECK_THAT(mirrored_sine_of_elevation({0.0, 0.6, -0.8}, {0.0, -1.0, 0.0}), WithinAbs(-0.8, 1e-12));
}

TEST_CASE("sky: the zenith from the mean over the half space", "[radiometry]") {
    // E3(1) = 0.109692 (tables of exponential integrals, from memory; a numerical integral agrees)
    const Celsius air(25.0);
    const auto mean_of = [&](double transmission) {
        return to_celsius(band().temperature((1.0 - transmission) * band().radiance(air)));
    };
    CHECK_THAT(zenith_emissivity_of_mean(mean_of(2.0 * 0.1096920), air, band()), WithinAbs(1.0 - std::exp(-1.0), 1e-5));
    // the law: the mean of the sky by direction, rings of equal cosine-weighted share, gives its zenith back
    double sum = 0.0;
    constexpr int kRings = 4000;
    for (int i = 0; i < kRings; ++i) {
        const double sine = std::sqrt((i + 0.5) / kRings);
        sum += band().radiance(sky_temperature(air, sine, kSky, band())) / kRings;
    }
    const Celsius mean = to_celsius(band().temperature(sum));
    CHECK_THAT(zenith_emissivity_of_mean(mean, air, band()), WithinAbs(kSky.zenith_emissivity, 1e-4));
    CHECK(zenith_emissivity_of_mean(Celsius(25.0), air, band()) == 1.0);
    CHECK(zenith_emissivity_of_mean(Celsius(40.0), air, band()) == 1.0);
    CHECK(std::isnan(zenith_emissivity_of_mean(Celsius(kNaN), air, band())));
}
