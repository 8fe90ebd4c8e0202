#include "heatrow/radiometry/blackbody.hpp"

#include "heatrow/core/error.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

using namespace heatrow;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

constexpr double kSigma = 5.670374419184431e-8;

// Simpson's rule over Planck's law, a route of its own.
double integrate(double low_um, double high_um, double kelvin) {
    constexpr int kSteps = 4000;
    const double h = (high_um - low_um) / kSteps;
    double sum = 0.0;
    for (int i = 0; i <= kSteps; ++i) {
        const double weight = i == 0 || i == kSteps ? 1.0 : (i % 2 == 1 ? 4.0 : 2.0);
        sum += weight * spectral_radiance(low_um + i * h, Kelvin(kelvin));
    }
    return sum * h / 3.0;
}

}  // namespace

TEST_CASE("blackbody fraction: runs from zero to one and rises", "[radiometry]") {
    CHECK(blackbody_fraction(0.0) == 0.0);
    CHECK(blackbody_fraction(-5.0) == 0.0);
    CHECK(std::isnan(blackbody_fraction(kNaN)));
    CHECK_THAT(blackbody_fraction(1e7), WithinAbs(1.0, 1e-8));
    double before = 0.0;
    for (double x = 500.0; x < 200000.0; x *= 1.01) {
        const double now = blackbody_fraction(x);
        CHECK(now > before);
        before = now;
    }
}

TEST_CASE("blackbody fraction: its two series meet", "[radiometry]") {
    const double change = 14387.768775039337;  // x = 1
    CHECK_THAT(blackbody_fraction(change * (1.0 + 1e-12)), WithinAbs(blackbody_fraction(change), 1e-11));
    // no step across the change beyond the curvature
    const double below = blackbody_fraction(change * 0.999);
    const double above = blackbody_fraction(change * 1.001);
    CHECK_THAT(blackbody_fraction(change), WithinAbs(0.5 * (below + above), 1e-6));
}

TEST_CASE("band radiance: agrees with Simpson's rule over Planck's law", "[radiometry]") {
    for (const Band band : {Band{7.5, 14.0}, Band{8.0, 14.0}, Band{7.5, 13.0}, Band{3.0, 5.0}}) {
        const BandRadiance table(band);
        for (double celsius = -60.0; celsius <= 200.0; celsius += 6.7) {
            const double kelvin = celsius + kZeroCelsiusInKelvin;
            CHECK_THAT(table.radiance(Celsius(celsius)), WithinRel(integrate(band.low_um, band.high_um, kelvin), 1e-7));
        }
    }
}

TEST_CASE("band radiance: a very wide band is sigma T^4 / pi", "[radiometry]") {
    const BandRadiance table(Band{0.1, 1e5});
    CHECK_THAT(table.radiance(Kelvin(300.0)), WithinRel(kSigma * std::pow(300.0, 4) / std::numbers::pi, 1e-6));
}

TEST_CASE("band radiance: interpolation error in kelvin stays below 1e-4 K", "[radiometry]") {
    const Band band{7.5, 14.0};
    const BandRadiance table(band);
    double worst = 0.0;
    for (double celsius = -60.0; celsius <= 200.0; celsius += 0.0137) {
        const double kelvin = celsius + kZeroCelsiusInKelvin;
        const double exact = kSigma * std::pow(kelvin, 4) / std::numbers::pi *
                             (blackbody_fraction(band.high_um * kelvin) - blackbody_fraction(band.low_um * kelvin));
        worst = std::max(worst, std::abs(table.temperature(exact).value() - kelvin));
    }
    INFO("worst error " << worst << " K");
    CHECK(worst < 1e-6);  // the header promises 1e-4
}

TEST_CASE("band radiance: the inverse undoes it", "[radiometry]") {
    const BandRadiance table(Band{7.5, 14.0});
    for (double kelvin = 100.0; kelvin <= 1000.0; kelvin += 0.31) {
        CHECK_THAT(table.temperature(table.radiance(Kelvin(kelvin))).value(), WithinAbs(kelvin, 1e-8));
    }
}

TEST_CASE("band radiance: the derivative is the slope", "[radiometry]") {
    const BandRadiance table(Band{7.5, 14.0});
    for (double kelvin = 150.0; kelvin <= 900.0; kelvin += 7.3) {
        const double h = 0.01;
        const double slope = (table.radiance(Kelvin(kelvin + h)) - table.radiance(Kelvin(kelvin - h))) / (2.0 * h);
        CHECK_THAT(table.derivative(Kelvin(kelvin)), WithinRel(slope, 1e-6));
    }
}

TEST_CASE("band radiance: what has no answer is NaN", "[radiometry]") {
    const BandRadiance table(Band{7.5, 14.0});
    CHECK(std::isnan(table.radiance(Kelvin(99.0))));
    CHECK(std::isnan(table.radiance(Kelvin(1001.0))));
    CHECK(std::isnan(table.radiance(Kelvin(kNaN))));
    CHECK(std::isnan(table.derivative(Kelvin(kNaN))));
    CHECK(std::isnan(table.temperature(0.0).value()));
    CHECK(std::isnan(table.temperature(-1.0).value()));
    CHECK(std::isnan(table.temperature(kNaN).value()));
    CHECK(std::isnan(table.temperature(1e9).value()));
    CHECK(std::isnan(table.temperature(1e-12).value()));
}

TEST_CASE("band radiance: limits that cannot be are refused", "[radiometry]") {
    CHECK_THROWS_WITH(BandRadiance(Band{14.0, 7.5}), Contains("lower limit first"));
    CHECK_THROWS_AS(BandRadiance(Band{7.5, 7.5}), Error);
    CHECK_THROWS_AS(BandRadiance(Band{0.0, 7.5}), Error);
    CHECK_THROWS_AS(BandRadiance(Band{kNaN, 14.0}), Error);
    CHECK_THROWS_AS(BandRadiance(Band{7.5, std::numeric_limits<double>::infinity()}), Error);
}

TEST_CASE("response curve: a flat one is the flat band", "[radiometry]") {
    const BandRadiance flat(Band{7.5, 14.0});
    const BandRadiance curve(std::vector<ResponsePoint>{{7.5, 1.0}, {9.0, 1.0}, {14.0, 1.0}});
    for (double celsius = -60.0; celsius <= 200.0; celsius += 13.0) {
        CHECK_THAT(curve.radiance(Celsius(celsius)), WithinRel(flat.radiance(Celsius(celsius)), 1e-9));
        CHECK_THAT(curve.derivative(Celsius(celsius)), WithinRel(flat.derivative(Celsius(celsius)), 1e-7));
    }
}

TEST_CASE("response curve: a ramp lies between its ends, and scale does not change temperatures", "[radiometry]") {
    const BandRadiance ramp(std::vector<ResponsePoint>{{7.5, 0.0}, {14.0, 1.0}});
    const BandRadiance twice(std::vector<ResponsePoint>{{7.5, 0.0}, {14.0, 2.0}});
    // independent: Simpson over the weighted law
    const double h = 6.5 / 4000;
    double sum = 0.0;
    for (int i = 0; i <= 4000; ++i) {
        const double weight = i == 0 || i == 4000 ? 1.0 : (i % 2 == 1 ? 4.0 : 2.0);
        sum += weight * (i / 4000.0) * spectral_radiance(7.5 + i * h, Kelvin(320.0));
    }
    CHECK_THAT(ramp.radiance(Kelvin(320.0)), WithinRel(sum * h / 3.0, 1e-7));
    CHECK_THAT(twice.temperature(2.0 * ramp.radiance(Kelvin(320.0))).value(), WithinAbs(320.0, 1e-7));
}

TEST_CASE("response curve: what cannot be is refused with the reason", "[radiometry]") {
    using Curve = std::vector<ResponsePoint>;
    CHECK_THROWS_WITH(BandRadiance(Curve{{8.0, 1.0}}), Contains("fewer than two points"));
    CHECK_THROWS_WITH(BandRadiance(Curve{{8.0, 1.0}, {8.0, 1.0}}), Contains("does not ascend"));
    CHECK_THROWS_WITH(BandRadiance(Curve{{8.0, 1.0}, {9.0, -0.1}}), Contains("zero or more"));
    CHECK_THROWS_WITH(BandRadiance(Curve{{8.0, 0.0}, {9.0, 0.0}}), Contains("zero everywhere"));
}
