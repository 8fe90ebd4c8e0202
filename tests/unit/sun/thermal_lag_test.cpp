#include "heatrow/sun/thermal_lag.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <vector>

using namespace heatrow;
using Catch::Matchers::WithinAbs;

TEST_CASE("thermal lag: a constant is felt as it is", "[sun]") {
    const std::vector<AgedValue> history{{0.0, 700.0}, {60.0, 700.0}, {4000.0, 700.0}};
    CHECK_THAT(lagged_mean(history, 0.002).value, WithinAbs(700.0, 1e-9));
}

TEST_CASE("thermal lag: the result does not depend on the sampling of a straight line", "[sun]") {
    std::vector<AgedValue> coarse{{0.0, 900.0}, {1200.0, 300.0}};
    std::vector<AgedValue> fine;
    for (int i = 0; i <= 1200; i += 7) {
        fine.push_back({static_cast<double>(i), 900.0 - 0.5 * i});
    }
    fine.push_back({1200.0, 300.0});
    CHECK_THAT(lagged_mean(fine, 0.0023).value, WithinAbs(lagged_mean(coarse, 0.0023).value, 1e-9));
}

TEST_CASE("thermal lag: of a long ramp the module is one time constant behind", "[sun]") {
    const double rate = 1.0 / 400.0;
    const std::vector<AgedValue> ramp{{0.0, 800.0}, {20000.0, 800.0 - 20000.0 * 0.1}};
    CHECK_THAT(lagged_mean(ramp, rate, 20000.0).value, WithinAbs(800.0 - 0.1 * 400.0, 1e-6));
}

TEST_CASE("thermal lag: what lies beyond the history is said", "[sun]") {
    const std::vector<AgedValue> short_history{{0.0, 1.0}, {400.0, 1.0}};
    CHECK_THAT(lagged_mean(short_history, 1.0 / 400.0).missing_weight, WithinAbs(std::exp(-1.0), 1e-12));
    CHECK(std::isnan(lagged_mean({}, 0.002).value));
    const std::vector<AgedValue> one{{0.0, 5.0}};
    CHECK(lagged_mean(one, 0.002).value == 5.0);
    CHECK(lagged_mean(one, 0.002).missing_weight == 1.0);
}

TEST_CASE("thermal lag: wind and light modules are quicker, the rate stays positive", "[sun]") {
    CHECK(thermal_rate_per_s(MetresPerSecond(4.0)) > thermal_rate_per_s(MetresPerSecond(1.0)));
    CHECK(thermal_rate_per_s(MetresPerSecond(1.0), 8.0) > thermal_rate_per_s(MetresPerSecond(1.0), 14.0));
    CHECK(thermal_rate_per_s(MetresPerSecond(0.0), 30.0) == Approx(1.0 / 1800.0));
    CHECK(thermal_rate_per_s(MetresPerSecond(-1.0)) == thermal_rate_per_s(MetresPerSecond(0.0)));
}
