#include "heatrow/radiometry/emissivity.hpp"

#include "heatrow/core/error.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <set>

using namespace heatrow;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

TEST_CASE("fresnel: laws at the ends", "[radiometry]") {
    const OpticalConstants dielectric{10.0, 1.5, 0.0};
    CHECK_THAT(fresnel_emissivity(dielectric, Radians(0.0)), WithinAbs(0.96, 1e-12));
    CHECK_THAT(fresnel_emissivity(dielectric, degrees(90.0)), WithinAbs(0.0, 1e-9));
    // Brewster's angle: no p reflection
    CHECK_THAT(fresnel_reflectances(dielectric, Radians(std::atan(1.5))).p, WithinAbs(0.0, 1e-12));
    // nothing there: nothing reflected
    CHECK_THAT(fresnel_emissivity({10.0, 1.0, 0.0}, degrees(40.0)), WithinAbs(1.0, 1e-12));
}

TEST_CASE("soda-lime glass: rows are met, between them it is linear, outside it is NaN", "[radiometry]") {
    for (const OpticalConstants& row : soda_lime_glass()) {
        const OpticalConstants got = soda_lime_glass_at(row.wavelength_um);
        CHECK(got.n == row.n);
        CHECK(got.k == row.k);
    }
    CHECK_THAT(soda_lime_glass_at(7.5).n, WithinAbs(0.5 * (1.152 + 0.939), 1e-12));
    CHECK(std::isnan(soda_lime_glass_at(6.9).n));
    CHECK(std::isnan(soda_lime_glass_at(14.1).k));
}

TEST_CASE("glass emissivity: falls with the angle from 20 degrees on, and only there", "[radiometry]") {
    const GlassEmissivity glass(Band{7.5, 14.0});
    for (int angle = 20; angle < 90; ++angle) {
        CHECK(glass(degrees(angle + 1.0)) < glass(degrees(angle)));
    }
    CHECK_THAT(glass(degrees(0.0)) - glass(degrees(15.0)), WithinAbs(0.0, 1e-3));
    CHECK_THAT(glass(degrees(90.0)), WithinAbs(0.0, 1e-9));
    CHECK(std::isnan(glass(degrees(-1.0))));
    CHECK(std::isnan(glass(degrees(91.0))));
    CHECK(std::isnan(glass(Radians(kNaN))));
}

TEST_CASE("glass emissivity: between nodes the table is within 1e-4 of the integral", "[radiometry]") {
    const GlassEmissivity glass(Band{7.5, 14.0});
    for (double angle = 0.125; angle < 90.0; angle += 0.75) {
        double sum = 0.0;
        double weights = 0.0;
        for (int i = 0; i < 650; ++i) {
            const double wavelength = 7.5 + 0.01 * (i + 0.5);
            const double weight = spectral_radiance(wavelength, Kelvin(323.15));
            sum += weight * fresnel_emissivity(soda_lime_glass_at(wavelength), degrees(angle));
            weights += weight;
        }
        CHECK_THAT(glass(degrees(angle)), WithinAbs(sum / weights, 1e-4));
    }
}

TEST_CASE("glass emissivity: a band without published constants is refused", "[radiometry]") {
    CHECK_THROWS_WITH(GlassEmissivity(Band{3.0, 5.0}), Contains("7 to 14 um"));
    CHECK_THROWS_AS(GlassEmissivity(Band{8.0, 14.5}), Error);
    CHECK_THROWS_AS(GlassEmissivity(Band{12.0, 9.0}), Error);
}

TEST_CASE("materials: every row is usable and named once", "[radiometry]") {
    std::set<std::string_view> names;
    for (const MaterialEmissivity& row : material_emissivities()) {
        CHECK(names.insert(row.material).second);
        CHECK(row.low > 0.0);
        CHECK(row.low <= row.high);
        CHECK(row.high <= 1.0);
        CHECK((row.trust == "V1" || row.trust == "V2" || row.trust == "M"));
        CHECK_FALSE(to_string(row.band).empty());
    }
    CHECK(names.size() == 27);
}

TEST_CASE("glass emissivity: a response curve weighs the wavelengths", "[radiometry]") {
    const GlassEmissivity flat(Band{7.5, 14.0});
    const GlassEmissivity same({{7.5, 2.0}, {9.0, 2.0}, {14.0, 2.0}});
    // all weight near 10 um, where glass reflects most, or near 12 um
    const GlassEmissivity at_10({{9.9, 0.0}, {10.0, 1.0}, {10.1, 0.0}});
    const GlassEmissivity at_12({{11.9, 0.0}, {12.0, 1.0}, {12.1, 0.0}});
    for (const double angle : {0.0, 45.0, 70.0}) {
        CHECK_THAT(same(degrees(angle)), WithinAbs(flat(degrees(angle)), 1e-12));
        CHECK_THAT(at_10(degrees(angle)),
                   WithinAbs(fresnel_emissivity(soda_lime_glass_at(10.0), degrees(angle)), 0.01));
        CHECK_THAT(at_12(degrees(angle)),
                   WithinAbs(fresnel_emissivity(soda_lime_glass_at(12.0), degrees(angle)), 0.01));
    }
    CHECK(GlassEmissivity::covers({{7.0, 1.0}, {14.0, 1.0}}));
    CHECK_FALSE(GlassEmissivity::covers({{3.0, 1.0}, {5.0, 1.0}}));
    CHECK_THROWS_WITH(GlassEmissivity({{3.0, 1.0}, {5.0, 1.0}}), Contains("3.000000 to 5.000000 um"));
}
