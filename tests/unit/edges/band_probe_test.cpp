#include "heatrow/edges/band_probe.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <random>
#include <utility>

using namespace heatrow;
using Catch::Matchers::WithinAbs;
using Eigen::Vector2d;

namespace {

// A band across the picture: levels inner, band, outer along `normal`, blurred, its centre line through `through`.
struct BandPicture {
    Vector2d through{30.2, 24.7};
    double angle_deg = 0.0;  // of the normal
    double width_px = 1.4;
    double inner = 5000.0;
    double band = 3000.0;
    double outer = 5000.0;
    double blur_px = 0.6;
    double noise = 0.0;
    std::uint64_t seed = 1;

    [[nodiscard]] Vector2d normal() const {
        const double angle = degrees(angle_deg).value();
        return {std::cos(angle), std::sin(angle)};
    }
    [[nodiscard]] Image<float> paint() const {
        Image<float> picture(60, 50);
        std::mt19937_64 engine(seed);
        std::normal_distribution<double> normal_noise;
        const auto step = [this](double x) { return 0.5 * std::erfc(-x / (blur_px * std::sqrt(2.0))); };
        for (int y = 0; y < picture.height(); ++y) {
            for (int x = 0; x < picture.width(); ++x) {
                const double d = normal().dot(Vector2d(x, y) - through);
                const double enters = step(d + 0.5 * width_px);
                const double leaves = step(d - 0.5 * width_px);
                const double level = inner * (1.0 - enters) + band * (enters - leaves) + outer * leaves;
                picture.view()(x, y) = static_cast<float>(level + (noise > 0.0 ? noise * normal_noise(engine) : 0.0));
            }
        }
        return picture;
    }
    [[nodiscard]] BandLine line(double off_px) const { return {through - off_px * normal(), normal(), 8.0, width_px}; }
};

}  // namespace

TEST_CASE("band probe: finds a gap between modules to a twentieth of a pixel on a clean picture", "[edges]") {
    for (const double angle : {0.0, 17.0, 45.0, 90.0, 200.0}) {
        for (const double off : {-1.9, -0.63, 0.0, 0.37, 1.8}) {
            BandPicture scene;
            scene.angle_deg = angle;
            const Image<float> picture = scene.paint();
            ProbeOptions options;
            options.levels = true;
            BandProber prober(picture.view(), options);
            const auto fix = prober.probe(scene.line(off));
            INFO(angle << " deg, " << off << " px");
            REQUIRE(fix);
            CHECK_THAT(fix->offset_px, WithinAbs(off, 0.05));
            CHECK(fix->contrast() > 1000.0);
        }
    }
}

TEST_CASE("band probe: finds a step to the ground", "[edges]") {
    for (const double off : {-1.2, 0.0, 0.8}) {
        BandPicture scene;
        scene.angle_deg = 30.0;
        scene.width_px = 0.0;
        scene.outer = 3500.0;
        const Image<float> picture = scene.paint();
        ProbeOptions options;
        options.levels = true;
        BandProber prober(picture.view(), options);
        const auto fix = prober.probe(scene.line(off));
        REQUIRE(fix);
        CHECK_THAT(fix->offset_px, WithinAbs(off, 0.05));
        CHECK_THAT(fix->inner, WithinAbs(5000.0, 30.0));
        CHECK_THAT(fix->outer, WithinAbs(3500.0, 30.0));
        CHECK(std::isnan(fix->band));
    }
}

TEST_CASE("band probe: noise of a tenth of the band's depth costs less than a fifth of a pixel, and is stated",
          "[edges]") {
    double squares = 0.0;
    double stated = 0.0;
    constexpr int kTrials = 200;
    int found = 0;
    for (int trial = 0; trial < kTrials; ++trial) {
        BandPicture scene;
        scene.angle_deg = 1.7 * trial;
        scene.noise = 100.0;
        scene.band = 4000.0;
        scene.seed = static_cast<std::uint64_t>(trial) + 1;
        const Image<float> picture = scene.paint();
        BandProber prober(picture.view(), ProbeOptions{});
        if (const auto fix = prober.probe(scene.line(0.4))) {
            ++found;
            squares += (fix->offset_px - 0.4) * (fix->offset_px - 0.4);
            stated += fix->sd_px * fix->sd_px;
        }
    }
    CHECK(found > kTrials * 95 / 100);
    const double rms = std::sqrt(squares / found);
    const double stated_rms = std::sqrt(stated / found);
    INFO("rms " << rms << " px, stated " << stated_rms << " px");
    CHECK(rms < 0.2);
    CHECK(stated_rms > 0.5 * rms);
    CHECK(stated_rms < 2.0 * rms);
}

TEST_CASE("band probe: an even picture, noise alone, missing data and the border give nothing", "[edges]") {
    BandPicture scene;
    scene.inner = scene.band = scene.outer = 5000.0;
    const Image<float> even = scene.paint();
    CHECK_FALSE(BandProber(even.view(), ProbeOptions{}).probe(scene.line(0.0)));

    int found = 0;
    for (std::uint64_t seed = 1; seed <= 200; ++seed) {
        scene.noise = 5.0;
        scene.seed = seed;
        const Image<float> noisy = scene.paint();
        found += BandProber(noisy.view(), ProbeOptions{}).probe(scene.line(0.0)) ? 1 : 0;
    }
    CHECK(found < 20);

    BandPicture gap;
    Image<float> holed = gap.paint();
    ProbeOptions options;
    options.nodata = 0.0;
    REQUIRE(BandProber(std::as_const(holed).view(), options).probe(gap.line(0.0)));
    holed.view()(31, 24) = 0.0F;
    CHECK_FALSE(BandProber(std::as_const(holed).view(), options).probe(gap.line(0.0)));

    gap.through = {58.0, 24.0};
    const Image<float> at_border = gap.paint();
    CHECK_FALSE(BandProber(at_border.view(), ProbeOptions{}).probe(gap.line(0.0)));
}

TEST_CASE("band probe: the coarse response peaks at the band", "[edges]") {
    BandPicture scene;
    scene.angle_deg = 10.0;
    scene.noise = 20.0;
    const Image<float> picture = scene.paint();
    BandProber prober(picture.view(), ProbeOptions{});
    std::vector<float> response;
    BandLine line = scene.line(7.0);
    line.glass_beyond = true;
    prober.response(line, 12, 4, response);
    REQUIRE(response.size() == 25);
    int darkest = 0;
    for (int i = 0; i < 25; ++i) {
        darkest = response[static_cast<std::size_t>(i)] < response[static_cast<std::size_t>(darkest)] ? i : darkest;
    }
    CHECK(darkest - 12 == 7);
    // A slope is no edge, nor is a bend.
    Image<float> slope(60, 50);
    for (int y = 0; y < 50; ++y) {
        for (int x = 0; x < 60; ++x) {
            slope.view()(x, y) = static_cast<float>(5000.0 + 10.0 * x + 0.5 * x * x);
        }
    }
    std::vector<float> none;
    BandProber(std::as_const(slope).view(), ProbeOptions{}).response(line, 12, 4, none);
    for (const float value : none) {
        CHECK(std::abs(value) < 1e-2F * std::abs(response[static_cast<std::size_t>(darkest)]));
    }
}
