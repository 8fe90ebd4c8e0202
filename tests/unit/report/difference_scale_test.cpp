#include "heatrow/report/difference_scale.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;

TEST_CASE("difference scale: zero is the middle, ends are clipped", "[report]") {
    const DifferenceScale scale(KelvinDelta(20.0));
    CHECK(scale.step_of(KelvinDelta(0.0)) == kScaleSteps / 2);
    CHECK(scale.step_of(KelvinDelta(-20.0)) == 0);
    CHECK(scale.step_of(KelvinDelta(20.0)) == kScaleSteps - 1);
    CHECK(scale.step_of(KelvinDelta(1e9)) == kScaleSteps - 1);
    CHECK(scale.is_clipped(KelvinDelta(20.1)));
    CHECK_FALSE(scale.is_clipped(KelvinDelta(-20.0)));
    for (int step = 0; step < kScaleSteps; ++step) {
        const KelvinDelta middle = (scale.lower_edge(step) + scale.lower_edge(step + 1)) / 2.0;
        CHECK(scale.step_of(middle) == step);
    }
}

TEST_CASE("difference scale: the ends and the middle are the published colours", "[report]") {
    CHECK(to_hex(scale_colours().front()) == "#053061");
    CHECK(to_hex(scale_colours()[kScaleSteps / 2]) == "#f7f7f7");
    CHECK(to_hex(scale_colours().back()) == "#67001f");
}

TEST_CASE("difference scale: a round limit holds three quarters of the findings", "[report]") {
    CHECK(round_scale_limit({}).value() == 10.0);
    CHECK(round_scale_limit({kNaN}).value() == 10.0);
    CHECK(round_scale_limit({3.0, -4.0, 4.9, 38.0}).value() == 5.0);
    CHECK(round_scale_limit({16.0, 12.0, 14.0, 38.0}).value() == 20.0);
    CHECK(round_scale_limit({90.0}).value() == 40.0);
}
