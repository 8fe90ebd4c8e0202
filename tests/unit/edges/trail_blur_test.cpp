#include "heatrow/edges/trail_blur.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Matchers::WithinAbs;

namespace {

// The same by adding up where a point was over the last twenty time constants.
double step_by_sum(double x, double sigma, double trail) {
    constexpr int kSteps = 20000;
    double sum = 0.0;
    for (int i = 0; i < kSteps; ++i) {
        const double age = -std::log(1.0 - (i + 0.5) / kSteps);  // in time constants
        const double place = trail * (std::log(2.0) - age);      // of the step, from half height
        sum += 0.5 * std::erfc(-(x - place) / (sigma * std::sqrt(2.0))) / kSteps;
    }
    return sum;
}

}  // namespace

TEST_CASE("trail blur: the step is the sum over a detector's memory", "[edges]") {
    for (const double trail : {-1.3, -0.4, 0.0, 0.05, 0.75, 2.0}) {
        const TrailBlur blur(0.6, trail);
        for (double x = -4.0; x <= 4.0; x += 0.4) {
            INFO("trail " << trail << ", x " << x);
            CHECK_THAT(blur.step(x), WithinAbs(step_by_sum(x, 0.6, trail), 1e-3));
        }
    }
}

TEST_CASE("trail blur: the ramp is the integral of the step", "[edges]") {
    for (const double trail : {-1.0, 0.0, 0.7}) {
        const TrailBlur blur(0.5, trail);
        double sum = 0.0;
        constexpr int kSteps = 15000;
        for (int i = 0; i < kSteps; ++i) {
            sum += blur.step(-12.0 + (i + 0.5) * 1e-3) * 1e-3;
        }
        CHECK_THAT(blur.ramp(3.0), WithinAbs(sum, 1e-4));
        // Far beyond, the ramp counts from the middle of mass.
        CHECK_THAT(blur.ramp(20.0), WithinAbs(20.0 + (1.0 - std::log(2.0)) * trail, 1e-6));
        CHECK_THAT(blur.ramp(-20.0), WithinAbs(0.0, 1e-6));
    }
}

TEST_CASE("trail blur: one, two and three time constants after a step", "[edges]") {
    // Hardly any blur, motion to positive x: a pixel that the step reached n time constants ago.
    const TrailBlur blur(0.06, 1.0);
    for (const auto& [n, share] : {std::pair{1.0, 0.63212}, std::pair{2.0, 0.86466}, std::pair{3.0, 0.95021}}) {
        CHECK_THAT(blur.step(std::log(2.0) - n), WithinAbs(1.0 - share, 3e-3));
    }
}

TEST_CASE("trail blur: half height lies at the outline", "[edges]") {
    for (const double trail : {-1.0, -0.5, 0.5, 1.0}) {
        const TrailBlur blur(0.5, trail);
        CHECK(blur.step(-0.1) < 0.5);
        CHECK(blur.step(0.1) > 0.5);
    }
}
