#include "heatrow/measure/difference.hpp"
#include "heatrow/measure/isotherm.hpp"
#include "heatrow/measure/line_profile.hpp"
#include "heatrow/measure/spot.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <random>

using namespace heatrow;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

// t = x + 10 y
Image<float> ramp() {
    Image<float> image(12, 8);
    for (int y = 0; y < 8; ++y) {
        for (int x = 0; x < 12; ++x) {
            image.view()(x, y) = static_cast<float>(x + 10 * y);
        }
    }
    return image;
}

LineShape line(const char* text) {
    return parse_line(text).value();
}

const BandRadiance& band() {
    static const BandRadiance instance(Band{7.5, 14.0});
    return instance;
}

MeasuredArea area(double object_c, double emissivity, double reflected_c) {
    MeasuredArea measured;
    measured.conditions.emissivity = emissivity;
    measured.conditions.reflected = Celsius(reflected_c);
    measured.apparent = apparent_of_object(Celsius(object_c), measured.conditions, band());
    return measured;
}

}  // namespace

TEST_CASE("line: both ends, equal steps, linear between pixels") {
    const Image<float> image = ramp();
    const LineProfile profile = profile_along(line("l=1,1,4,5"), image.view());  // 5 px long
    REQUIRE(profile.points.size() == 6);
    CHECK_THAT(profile.points.front().value.value(), WithinAbs(11.0, 1e-6));
    CHECK_THAT(profile.points.back().value.value(), WithinAbs(54.0, 1e-6));
    CHECK_THAT(profile.points[1].along_px, WithinAbs(1.0, 1e-12));
    CHECK_THAT(profile.points[1].value.value(), WithinAbs(1.6 + 18.0, 1e-6));
    CHECK_THAT(profile.mean.value(), WithinAbs(32.5, 1e-6));
    CHECK_THAT(profile.hottest.along_px, WithinAbs(5.0, 1e-12));
}

TEST_CASE("line: what has no temperature stays unknown, the picture's edge included") {
    Image<float> changed = ramp();
    changed.view()(5, 3) = std::nanf("");
    const Image<float>& image = changed;
    const LineProfile profile = profile_along(line("l=3,3,14,3"), image.view());
    CHECK(!profile.points[2].value.is_known());
    CHECK(profile.points[1].value.is_known());
    CHECK(profile.points[8].value.is_known());   // x = 11, the last column
    CHECK(!profile.points[9].value.is_known());  // outside
    CHECK_THAT(profile.hottest.value.value(), WithinAbs(41.0, 1e-6));
    CHECK(!profile_along(line("l=20,20,30,30"), image.view()).mean.is_known());
}

TEST_CASE("line: texts that are none are refused") {
    for (const char* text : {"", "l", "=1,2,3,4", "l=1,2,3", "l=1,2,3,x", "l=1,1,1,1", "l=1,1,1e9,1", "l=1,2,3,4,5"}) {
        INFO(text);
        REQUIRE(!parse_line(text));
        CHECK_THAT(parse_line(text).error(), Contains(text));
    }
}

TEST_CASE("isotherm: pixels, share and surface at or above the limit") {
    Image<float> changed = ramp();
    changed.view()(11, 7) = std::nanf("");
    const Image<float>& image = changed;
    const RectangleShape all{0, 0, 12, 8};
    const IsothermFigures figures = isotherm_of(all, image.view(), Celsius(70.0), Metres(0.02));
    CHECK(figures.known == 95);
    CHECK(figures.above == 13);  // row 7 without its last one, and 70 and 71 of row 6
    CHECK_THAT(figures.share, WithinAbs(13.0 / 95.0, 1e-12));
    CHECK_THAT(figures.square_m, WithinAbs(13 * 4e-4, 1e-12));
    CHECK(std::isnan(isotherm_of(all, image.view(), Celsius(70.0), Metres(kNaN)).square_m));
    CHECK(std::isnan(isotherm_of(PointShape{11, 7}, image.view(), Celsius(70.0), Metres(1.0)).share));
}

TEST_CASE("spot: three pixels wide, nothing without distance or lens") {
    CHECK_THAT(smallest_object(Metres(10.0), 1000.0).value(), WithinAbs(0.03, 1e-12));
    CHECK(!smallest_object(Metres(0.0), 1000.0).is_known());
    CHECK(!pixel_footprint(Metres(3.0), -1.0).is_known());
}

TEST_CASE("difference: the camera's offset cancels between areas, not against a contact probe") {
    UncertaintyCauses causes;
    causes.camera_offset = KelvinDelta(1.0);
    const DifferenceOperand hot{"hot", area(70.0, 1.0, kNaN), {}};
    const DifferenceOperand cold{"cold", area(40.0, 1.0, kNaN), {}};
    const DifferenceOperand probe{"probe", Uncertain<Celsius>{Celsius(68.0), 0.6}, {}};
    const DifferenceOperand typed{"typed", Uncertain<Celsius>{Celsius(60.0), kNaN}, {}};
    const auto areas = difference_of(hot, cold, causes, band());
    CHECK_THAT(areas.difference.value.value(), WithinAbs(30.0, 1e-4));
    CHECK_THAT(areas.value().u, WithinAbs(0.0, 1e-9));
    const auto touched = difference_of(hot, probe, causes, band());
    CHECK_THAT(touched.difference.value.value(), WithinAbs(2.0, 1e-4));
    CHECK_THAT(touched.value().u, WithinAbs(std::hypot(1.0, 0.6), 1e-6));
    CHECK_THAT(difference_of(probe, hot, causes, band()).difference.value.value(), WithinAbs(-2.0, 1e-4));
    CHECK(std::isnan(difference_of(hot, typed, causes, band()).value().u));
    CHECK_THAT(difference_of(probe, probe, causes, band()).value().u, WithinAbs(std::hypot(0.6, 0.6), 1e-9));
}

TEST_CASE("difference: one wrong reflection moves an area and the reflection apart") {
    // Monte Carlo: the apparent temperature is what is measured, the reflection is drawn
    UncertaintyCauses causes;
    causes.reflected = KelvinDelta(1.5);
    const MeasuredArea measured = area(60.0, 0.7, 20.0);
    const auto first_order =
        difference_of({"a", measured, {}}, {"reflected", ReflectedTemperature{Celsius(20.0)}, {}}, causes, band());
    CHECK_THAT(first_order.difference.value.value(), WithinAbs(40.0, 1e-4));
    std::mt19937_64 random(7);
    std::normal_distribution<double> normal;
    double sum = 0.0;
    double squares = 0.0;
    constexpr int kDraws = 20000;
    for (int i = 0; i < kDraws; ++i) {
        ObjectConditions drawn = measured.conditions;
        drawn.reflected = Celsius(20.0 + 1.5 * normal(random));
        const double d = (object_of_apparent(measured.apparent, drawn, band()) - drawn.reflected).value();
        sum += d;
        squares += d * d;
    }
    const double deviation = std::sqrt(squares / kDraws - sum * sum / kDraws / kDraws);
    CHECK_THAT(first_order.value().u, WithinRel(deviation, 0.05));
    CHECK(first_order.value().u > 1.5);
}

TEST_CASE("difference: emissivities that differ err apart, the same one errs alike") {
    UncertaintyCauses causes;
    causes.emissivity = 0.02;
    const auto u = [&causes](double emissivity_a, double emissivity_b) {
        return difference_of(
                   {"a", area(60.0, emissivity_a, 20.0), {}}, {"b", area(59.0, emissivity_b, 20.0), {}}, causes, band())
            .value()
            .u;
    };
    CHECK(u(0.9, 0.9) < 0.05);
    CHECK(u(0.9, 0.95) > 0.5);
}
