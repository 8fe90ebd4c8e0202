#include "heatrow/segment/light_scale.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <vector>

using namespace heatrow;
using Catch::Matchers::WithinAbs;

namespace {

// Counts of 0.01 K from 0 degC on, light as the fourth power (Stefan and Boltzmann).
double light_at(double celsius) {
    return std::pow((celsius + 273.15) / 300.0, 4.0);
}

LightScale scale_of(double count_step) {
    std::vector<double> light;
    for (int i = 0; i <= 300; ++i) {
        light.push_back(light_at(0.5 * i));
    }
    return {count_step > 0.0 ? 0.0 : 15000.0, count_step, light};
}

}  // namespace

TEST_CASE("light scale: there and back, whichever way counts run", "[segment]") {
    for (const bool rising : {true, false}) {
        const LightScale scale = scale_of(rising ? 50.0 : -50.0);
        for (const double celsius : {-3.0, 0.2, 25.0, 61.37, 149.9, 160.0}) {
            const double count = rising ? 100.0 * celsius : 15000.0 - 100.0 * celsius;
            CHECK_THAT(scale.count(scale.light(count)), WithinAbs(count, 1e-6));
            if (celsius > 0.0 && celsius < 150.0) {
                CHECK_THAT(scale.light(count), WithinAbs(light_at(celsius), 1e-5));
                CHECK((scale.slope(count) > 0.0) == rising);
            }
        }
    }
    CHECK(std::isnan(scale_of(50.0).light(std::nan(""))));
}

TEST_CASE("light scale: what is uneven shines more than its mean", "[segment]") {
    const LightScale scale = scale_of(50.0);
    // even shares of 30 and 90 degC: the mean of the light belongs to 62.8 degC by the fourth power
    const double mixed = 0.5 * (light_at(30.0) + light_at(90.0));
    CHECK_THAT(scale.mean_light(6000.0, 3000.0), WithinAbs(mixed, 1e-5));
    CHECK_THAT(0.01 * scale.count(mixed), WithinAbs(64.0, 0.1));
    // one step, so not exact for a spread as wide as that; within a fifth of what is taken off
    CHECK_THAT(0.01 * scale.mean_count(mixed, 3000.0), WithinAbs(60.0, 0.2));
    CHECK_THAT(0.01 * scale.mean_count(scale.mean_light(6000.0, 800.0), 800.0), WithinAbs(60.0, 0.01));
}
