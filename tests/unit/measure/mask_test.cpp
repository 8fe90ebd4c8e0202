#include "heatrow/measure/mask.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <random>

using namespace heatrow;

TEST_CASE("distance: equals the exhaustive search", "[measure]") {
    std::mt19937_64 engine(7);
    for (int round = 0; round < 20; ++round) {
        const int width = 3 + static_cast<int>(engine() % 30);
        const int height = 3 + static_cast<int>(engine() % 30);
        Mask mask(width, height, 0);
        const int set = 1 + static_cast<int>(engine() % 12);
        for (int i = 0; i < set; ++i) {
            mask.pixels()[engine() % mask.pixels().size()] = 1;
        }
        const auto distance = squared_distance_to(mask);
        for (int y = 0; y < height; ++y) {
            for (int x = 0; x < width; ++x) {
                int nearest = 1 << 20;
                for (int v = 0; v < height; ++v) {
                    for (int u = 0; u < width; ++u) {
                        if (mask.view()(u, v) != 0) {
                            nearest = std::min(nearest, (u - x) * (u - x) + (v - y) * (v - y));
                        }
                    }
                }
                REQUIRE(distance.view()(x, y) == static_cast<float>(nearest));
            }
        }
    }
}

TEST_CASE("distance: to an empty set is infinite, to a full one zero", "[measure]") {
    const Image<float> to_nothing = squared_distance_to(Mask(9, 4, 0));
    for (const float d : to_nothing.pixels()) {
        CHECK(std::isinf(d));
    }
    const Image<float> to_all = squared_distance_to(Mask(9, 4, 1));
    for (const float d : to_all.pixels()) {
        CHECK(d == 0.0F);
    }
}

TEST_CASE("components: touching corners do not join, edges do", "[measure]") {
    Mask mask(6, 4, 0);
    for (const auto& [x, y] : {std::pair{0, 0}, {1, 0}, {2, 1}, {4, 3}, {5, 3}, {5, 2}}) {
        mask.view()(x, y) = 1;
    }
    const auto all = components_of(mask, 1);
    REQUIRE(all.size() == 3);
    CHECK(all[0].area() == 2);
    CHECK(all[1].area() == 1);
    CHECK(all[2].area() == 3);
    CHECK(all[2].left == 4);
    CHECK(all[2].top == 2);
    CHECK(all[2].right == 5);
    CHECK(all[2].bottom == 3);
    CHECK(components_of(mask, 3).size() == 1);
    CHECK(components_of(Mask(5, 5, 0), 1).empty());
}

TEST_CASE("components: rows do not join round the border", "[measure]") {
    Mask mask(4, 3, 0);
    mask.view()(3, 0) = 1;
    mask.view()(0, 1) = 1;
    CHECK(components_of(mask, 1).size() == 2);
}
