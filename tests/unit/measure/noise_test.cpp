#include "heatrow/measure/noise.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <random>

using namespace heatrow;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

struct Made {
    double noise = 0.0;
    double rows = 0.0;
    double columns = 0.0;
    double step = 0.0;
};

Image<float> picture(const Made& made) {
    std::mt19937_64 engine(11);
    std::normal_distribution<double> normal;
    Image<float> image(320, 256);
    std::vector<double> columns(320);
    for (double& c : columns) {
        c = made.columns * normal(engine);
    }
    for (int y = 0; y < 256; ++y) {
        const double row = made.rows * normal(engine);
        for (int x = 0; x < 320; ++x) {
            // a smooth scene with one sharp hot rectangle
            double t =
                30.0 + 0.02 * x + 3.0 * std::sin(y / 60.0) + (x > 100 && x < 160 && y > 80 && y < 120 ? 15.0 : 0.0);
            t += made.noise * normal(engine) + row + columns[static_cast<std::size_t>(x)];
            image.view()(x, y) = static_cast<float>(made.step > 0.0 ? made.step * std::round(t / made.step) : t);
        }
    }
    return image;
}

NoiseEstimate estimate(const Made& made) {
    const Image<float> image = picture(made);
    return estimate_noise(image.view());
}

}  // namespace

TEST_CASE("noise: found beneath a scene", "[measure]") {
    CHECK_THAT(estimate({0.05}).pixel.value(), WithinRel(0.05, 0.03));
    CHECK_THAT(estimate({0.5}).pixel.value(), WithinRel(0.5, 0.03));
    CHECK(estimate({0.05}).rows.value() < 0.01);
    CHECK(estimate({0.05}).columns.value() < 0.01);
}

TEST_CASE("noise: rows and columns are told from pixels", "[measure]") {
    const NoiseEstimate n = estimate({0.05, 0.10, 0.04});
    CHECK_THAT(n.pixel.value(), WithinRel(0.05, 0.03));
    CHECK_THAT(n.rows.value(), WithinRel(0.10, 0.15));
    CHECK_THAT(n.columns.value(), WithinRel(0.04, 0.15));
}

TEST_CASE("noise: coarse steps add theirs", "[measure]") {
    const double expected = std::hypot(0.4, 0.4 / std::sqrt(12.0));
    CHECK_THAT(estimate({0.4, 0.0, 0.0, 0.4}).pixel.value(), WithinRel(expected, 0.15));
}

TEST_CASE("noise: a still picture has none, a tiny one no answer", "[measure]") {
    const Image<float> flat(64, 64, 20.0F);
    CHECK_THAT(estimate_noise(flat.view()).pixel.value(), WithinAbs(0.0, 1e-6));
    const Image<float> tiny(8, 8, 20.0F);
    CHECK_FALSE(estimate_noise(tiny.view()).pixel.is_known());
}
