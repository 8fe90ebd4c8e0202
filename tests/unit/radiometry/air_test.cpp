#include "heatrow/radiometry/air.hpp"

#include "heatrow/radiometry/sky.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

TEST_CASE("dew point: saturated air is at its dew point, and humidity comes back", "[radiometry]") {
    for (const MagnusConstants constants : {kMagnusWmo, kMagnusAlduchovEskridge}) {
        CHECK_THAT(dew_point(Celsius(25.0), 100.0, constants).value(), WithinAbs(25.0, 1e-10));
        for (const double humidity : {5.0, 30.0, 85.0}) {
            const Celsius dew = dew_point(Celsius(18.0), humidity, constants);
            CHECK(dew < Celsius(18.0));
            CHECK_THAT(relative_humidity_percent(Celsius(18.0), dew, constants), WithinAbs(humidity, 1e-9));
        }
    }
}

TEST_CASE("humidity: a fraction instead of percent is stopped", "[radiometry]") {
    CHECK_THAT(problem_with_humidity(0.5), Contains("looks like a fraction"));
    CHECK_THAT(problem_with_humidity(1.0), Contains("looks like a fraction"));
    CHECK_THAT(problem_with_humidity(0.0), Contains("above 0"));
    CHECK_THAT(problem_with_humidity(101.0), Contains("at most 100"));
    CHECK_FALSE(problem_with_humidity(kNaN).empty());
    CHECK(problem_with_humidity(50.0).empty());
    CHECK(std::isnan(dew_point(Celsius(20.0), 0.5).value()));
    CHECK(std::isnan(transmittance(Metres(10.0), Celsius(20.0), 0.5)));
}

TEST_CASE("transmittance: falls with distance and humidity, one at no distance, never beyond its range",
          "[radiometry]") {
    CHECK(transmittance(Metres(0.0), Celsius(20.0), 50.0) == 1.0);
    double before = 1.1;
    for (double distance = 0.0; distance <= 200.0; distance += 0.5) {
        const double now = transmittance(Metres(distance), Celsius(20.0), 50.0);
        CHECK(now < before);
        CHECK(now > 0.0);
        CHECK(now <= 1.0);
        before = now;
    }
    CHECK(transmittance(Metres(30.0), Celsius(20.0), 80.0) < transmittance(Metres(30.0), Celsius(20.0), 30.0));
    CHECK(std::isnan(transmittance(Metres(-1.0), Celsius(20.0), 50.0)));
    CHECK(std::isnan(transmittance(Metres(1.0), Celsius(200.0), 50.0)));
    CHECK(std::isnan(transmittance(Metres(1.0), Celsius(kNaN), 50.0)));
}

TEST_CASE("transmittance: constants are parameters", "[radiometry]") {
    TransmittanceConstants clear;
    clear.alpha1 = clear.alpha2 = clear.beta1 = clear.beta2 = 0.0;
    CHECK_THAT(transmittance(Metres(50.0), Celsius(20.0), 50.0, clear), WithinAbs(1.0, 1e-15));
}

TEST_CASE("sky: colder than the air in any weather that occurs", "[radiometry]") {
    for (double air = -30.0; air <= 45.0; air += 1.0) {
        CHECK(swinbank_sky(Celsius(air)) < Celsius(air));
    }
}
