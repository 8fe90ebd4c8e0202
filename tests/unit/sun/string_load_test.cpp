#include "heatrow/sun/string_load.hpp"

#include "made_series.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Matchers::WithinAbs;
using heatrow::testing::after;
using heatrow::testing::made_rows;

namespace {

const ConditionsSeries kSeries(made_rows(121, 60.0, [](double) { return 800.0; }));

StringLoadOptions nine_amperes() {
    StringLoadOptions options;
    options.rated_current_a = 9.0;
    return options;
}

}  // namespace

TEST_CASE("string load: current over what the irradiance should give", "[sun]") {
    const std::vector<StringReading> readings{{after(600.0), 7.2, 610.0}};
    const auto load = load_fraction_at(readings, after(660.0), kSeries, nine_amperes());
    CHECK_THAT(load.value, WithinAbs(1.0, 1e-12));
    // meter 2 % and 0.1 A, rating 3 %, irradiance 2.5 % and 5 W/m2
    const double meter = std::hypot(0.02, 0.1 / 7.2);
    const double irradiance = std::hypot(0.025, 5.0 / 800.0);
    CHECK_THAT(load.u, WithinAbs(std::sqrt(meter * meter + 0.03 * 0.03 + irradiance * irradiance), 1e-9));
}

TEST_CASE("string load: a string that carries nothing is known to carry nothing", "[sun]") {
    const std::vector<StringReading> readings{{after(600.0), 0.0, 730.0}};
    const auto load = load_fraction_at(readings, after(600.0), kSeries, nine_amperes());
    CHECK(load.value == 0.0);
    CHECK_THAT(load.u, WithinAbs(0.1 / 7.2, 1e-9));
}

TEST_CASE("string load: between readings it is interpolated and less sure", "[sun]") {
    const std::vector<StringReading> readings{{after(600.0), 7.2, kNaN}, {after(1200.0), 3.6, kNaN}};
    const auto between = load_fraction_at(readings, after(900.0), kSeries, nine_amperes());
    CHECK_THAT(between.value, WithinAbs(0.75, 1e-9));
    CHECK(between.u > 0.25);
}

TEST_CASE("string load: unknown out of reach, in the dark, without a rating", "[sun]") {
    const std::vector<StringReading> readings{{after(600.0), 7.2, kNaN}};
    CHECK(std::isnan(load_fraction_at(readings, after(600.0 + 16 * 60.0), kSeries, nine_amperes()).value));
    CHECK(std::isnan(load_fraction_at({}, after(600.0), kSeries, nine_amperes()).value));
    CHECK(std::isnan(load_fraction_at(readings, after(600.0), kSeries, StringLoadOptions{}).value));
    const ConditionsSeries dark(made_rows(121, 60.0, [](double) { return 20.0; }));
    CHECK(std::isnan(load_fraction_at(readings, after(600.0), dark, nine_amperes()).value));
}
