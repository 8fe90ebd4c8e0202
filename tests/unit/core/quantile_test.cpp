#include "heatrow/core/quantile.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;

TEST_CASE("quantile: one of the values, at the floor of its place", "[core]") {
    const std::vector<double> values{5.0, 1.0, 4.0, 2.0, 3.0};
    CHECK(quantile_of(values, 0.0) == 1.0);
    CHECK(quantile_of(values, 0.5) == 3.0);
    CHECK(quantile_of(values, 0.74) == 3.0);
    CHECK(quantile_of(values, 0.75) == 4.0);
    CHECK(quantile_of(values, 1.0) == 5.0);
}

TEST_CASE("quantile: asked again of the reordered values; nothing of none", "[core]") {
    std::vector<float> values{9.0F, 7.0F, 8.0F};
    CHECK(take_quantile(values, 1.0) == 9.0F);
    CHECK(take_quantile(values, 0.0) == 7.0F);
    CHECK(std::isnan(quantile_of(std::vector<float>{}, 0.5)));
}
