#include "lone_pixels.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;

namespace {

constexpr double kLeast = 100.0;  // counts

Image<float> even() {
    Image<float> counts(24, 20, 3000.0F);
    for (std::size_t i = 0; i < counts.pixels().size(); ++i) {
        counts.pixels()[i] += static_cast<float>((i * 2654435761U >> 7U) % 11U) - 5.0F;
    }
    return counts;
}

// A point of heat in the middle of a pixel, blurred by a Gaussian over square pixels.
void add_point(Image<float>& counts, int x, int y, double rise, double sigma) {
    const auto share = [sigma](int off) {
        return 0.5 *
               (std::erf((off + 0.5) / (sigma * std::sqrt(2.0))) - std::erf((off - 0.5) / (sigma * std::sqrt(2.0))));
    };
    for (int dy = -3; dy <= 3; ++dy) {
        for (int dx = -3; dx <= 3; ++dx) {
            counts.view()(x + dx, y + dy) += static_cast<float>(rise * share(dx) * share(dy) / (share(0) * share(0)));
        }
    }
}

}  // namespace

TEST_CASE("lone pixels: hot and cold ones take what is beside them", "[pipeline]") {
    for (const float rise : {600.0F, -600.0F}) {
        Image<float> counts = even();
        counts.view()(10, 9) += rise;
        CHECK(replace_lone_pixels(counts.view(), kLeast, std::nullopt) == 1);
        CHECK(std::abs(counts.view()(10, 9) - 3000.0F) <= 5.0F);
    }
}

TEST_CASE("lone pixels: wherever they lie in a row", "[pipeline]") {
    for (int x = 2; x < 198; ++x) {
        CAPTURE(x);
        Image<float> counts(200, 5, 3000.0F);
        counts.view()(x, 2) += 600.0F;
        CHECK(replace_lone_pixels(counts.view(), kLeast, std::nullopt) == 1);
        CHECK(counts.view()(x, 2) == 3000.0F);
    }
}

TEST_CASE("lone pixels: what a lens can make stays as it is", "[pipeline]") {
    for (const double sigma : {0.4, 0.5, 0.8}) {
        INFO(sigma);
        Image<float> counts = even();
        add_point(counts, 10, 9, 2000.0, sigma);
        const Image<float> before = counts;
        CHECK(replace_lone_pixels(counts.view(), kLeast, std::nullopt) == 0);
        CHECK(counts.pixels() == before.pixels());
    }
    Image<float> line = even();
    Image<float> pair = even();
    for (int x = 0; x < line.width(); ++x) {
        line.view()(x, 9) += 600.0F;
    }
    pair.view()(10, 9) += 600.0F;
    pair.view()(11, 9) += 600.0F;
    CHECK(replace_lone_pixels(line.view(), kLeast, std::nullopt) == 0);
    CHECK(replace_lone_pixels(pair.view(), kLeast, std::nullopt) == 0);
}

TEST_CASE("lone pixels: borders and places beside missing data stay", "[pipeline]") {
    Image<float> counts = even();
    counts.view()(1, 9) += 600.0F;
    counts.view()(10, 9) += 600.0F;
    counts.view()(12, 10) = 0.0F;
    CHECK(replace_lone_pixels(counts.view(), kLeast, 0.0) == 0);
}
