#include "heatrow/radiometry/measurement.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {
const BandRadiance& band() {
    static const BandRadiance table(Band{7.5, 14.0});
    return table;
}
}  // namespace

TEST_CASE("measurement equation: the inverse undoes it for every mix of terms", "[radiometry]") {
    for (const double emissivity : {0.3, 0.6, 0.85, 1.0}) {
        for (const double tau : {0.9, 0.98, 1.0}) {
            for (const double reflected : {-60.0, -20.0, 25.0}) {
                for (const double object : {-30.0, 0.0, 45.0, 150.0}) {
                    const ObjectConditions c{emissivity, Celsius(reflected), tau, Celsius(22.0)};
                    const Celsius apparent = apparent_of_object(Celsius(object), c, band());
                    CHECK_THAT(object_of_apparent(apparent, c, band()).value(), WithinAbs(object, 1e-6));
                }
            }
        }
    }
}

TEST_CASE("measurement equation: a blackbody through clear air shows its own temperature", "[radiometry]") {
    CHECK_THAT(apparent_of_object(Celsius(33.0), {}, band()).value(), WithinAbs(33.0, 1e-9));
    CHECK_THAT(object_of_apparent(Celsius(33.0), {}, band()).value(), WithinAbs(33.0, 1e-9));
}

TEST_CASE("measurement equation: in thermal equilibrium emissivity and air do not matter", "[radiometry]") {
    const ObjectConditions c{0.4, Celsius(21.0), 0.8, Celsius(21.0)};
    CHECK_THAT(apparent_of_object(Celsius(21.0), c, band()).value(), WithinAbs(21.0, 1e-9));
}

TEST_CASE("measurement equation: an object colder than its reflection allows is NaN, not a number", "[radiometry]") {
    const ObjectConditions c{0.1, Celsius(40.0), 1.0, Celsius(kNaN)};
    CHECK(std::isnan(object_radiance(band().radiance(Celsius(20.0)), c, band())));
    CHECK(std::isnan(object_of_apparent(Celsius(20.0), c, band()).value()));
    CHECK(object_of_apparent(Celsius(39.0), c, band()).is_known());
}

TEST_CASE("measurement equation: conditions that cannot be give a sentence and NaN", "[radiometry]") {
    const auto check = [](ObjectConditions c, const char* word) {
        CHECK_THAT(problem_with(c), Contains(word));
        CHECK(std::isnan(object_of_apparent(Celsius(30.0), c, band()).value()));
        CHECK(std::isnan(apparent_of_object(Celsius(30.0), c, band()).value()));
    };
    check({0.0, Celsius(20.0), 1.0, Celsius(20.0)}, "emissivity");
    check({1.1, Celsius(20.0), 1.0, Celsius(20.0)}, "emissivity");
    check({kNaN, Celsius(20.0), 1.0, Celsius(20.0)}, "emissivity");
    check({0.9, Celsius(20.0), 0.0, Celsius(20.0)}, "transmittance");
    check({0.9, Celsius(20.0), 1.5, Celsius(20.0)}, "transmittance");
    check({0.9, Celsius(kNaN), 1.0, Celsius(20.0)}, "reflected");
    check({0.9, Celsius(-250.0), 1.0, Celsius(20.0)}, "reflected");
    check({0.9, Celsius(20.0), 0.9, Celsius(kNaN)}, "air");
    CHECK(problem_with(ObjectConditions{}).empty());
    CHECK(problem_with(ObjectConditions{0.9, Celsius(20.0), 0.9, Celsius(20.0)}).empty());
}
