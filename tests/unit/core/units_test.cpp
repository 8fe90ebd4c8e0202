#include "heatrow/core/units.hpp"

#include "heatrow/core/uncertain.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;

TEST_CASE("units: temperatures subtract to a difference and shift by one", "[core]") {
    const KelvinDelta difference = Celsius(45.5) - Celsius(40.0);
    CHECK(difference.value() == 5.5);
    CHECK((Celsius(40.0) + difference).value() == 45.5);
    CHECK((Kelvin(300.0) - KelvinDelta(1.0)).value() == 299.0);
    CHECK(to_kelvin(Celsius(0.0)).value() == 273.15);
    CHECK(to_celsius(Kelvin(273.15)).value() == 0.0);
}

TEST_CASE("units: linear quantities add, scale and divide to a number", "[core]") {
    CHECK((Metres(1.5) + Metres(0.5)).value() == 2.0);
    CHECK((2.0 * Metres(1.5)).value() == 3.0);
    CHECK(Metres(3.0) / Metres(1.5) == 2.0);
    CHECK((-KelvinDelta(2.0)).value() == -2.0);
    CHECK(KelvinDelta(1.0) < KelvinDelta(2.0));
    CHECK_FALSE(KelvinDelta(kNaN).is_known());
}

TEST_CASE("units: angles turn and wrap", "[core]") {
    CHECK(in_degrees(degrees(30.0)) == Approx(30.0).margin(1e-12));
    CHECK(in_degrees(wrap_full_turn(degrees(-10.0))) == Approx(350.0).margin(1e-9));
    CHECK(in_degrees(wrap_half_turn(degrees(350.0))) == Approx(-10.0).margin(1e-9));
    CHECK(in_degrees(wrap_half_turn(degrees(180.0))) == Approx(180.0).margin(1e-9));
}

TEST_CASE("uncertain: independent terms add in squares", "[core]") {
    CHECK(combine_independent(3.0, 4.0) == Approx(5.0));
    CHECK(Uncertain<KelvinDelta>{KelvinDelta(1.0), 2.0}.u95() == Approx(3.92).margin(0.001));
    CHECK_FALSE(Uncertain<KelvinDelta>{}.is_known());
}
