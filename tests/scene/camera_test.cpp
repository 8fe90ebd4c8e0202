// Point spread, detector, hidden draws: what is random has the statistics that the description states.
#include "detector.hpp"
#include "frame_renderer.hpp"
#include "heatrow/core/error.hpp"
#include "light_planes.hpp"
#include "point_spread.hpp"
#include "scene_fixture.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace {

using namespace scene;

double mean_of(const std::vector<double>& values) {
    double sum = 0.0;
    for (const double value : values) {
        sum += value;
    }
    return sum / static_cast<double>(values.size());
}

double deviation_of(const std::vector<double>& values) {
    const double mean = mean_of(values);
    double sum = 0.0;
    for (const double value : values) {
        sum += (value - mean) * (value - mean);
    }
    return std::sqrt(sum / static_cast<double>(values.size() - 1));
}

std::vector<double> differences(const heatrow::Image<float>& a, const heatrow::Image<float>& b) {
    std::vector<double> result;
    for (std::size_t i = 0; i < a.pixels().size(); ++i) {
        result.push_back(static_cast<double>(a.pixels()[i]) - static_cast<double>(b.pixels()[i]));
    }
    return result;
}

// Light within a square of this half side, px.
double share_within(const PointSpread& spread, double half_side) {
    constexpr double kStep = 0.05;
    double sum = 0.0;
    for (double x = -half_side + 0.5 * kStep; x < half_side; x += kStep) {
        for (double y = -half_side + 0.5 * kStep; y < half_side; y += kStep) {
            sum += kStep * kStep * spread.at(x, y);
        }
    }
    return sum;
}

double width_at_half_height(const PointSpread& spread) {
    double x = 0.0;
    while (spread.at(x, 0.0) > 0.5 * spread.at(0.0, 0.0)) {
        x += 0.001;
    }
    return 2.0 * x;
}

}  // namespace

TEST_CASE("point spread: f/1 at 12 um has the medium conditions' width and keeps its light", "[scene]") {
    const PointSpread spread(CameraSpec{}, 1.0);
    // 1.13 px: the middle is a little narrower than that of the Gaussian of the same contrast, the foot wider.
    CHECK(width_at_half_height(spread) == Approx(1.2).margin(0.08));
    // The stated Gaussian's contrast at half a cycle a pixel.
    CHECK(spread.contrast(0.5) == Approx(std::exp(-0.5 * std::pow(std::numbers::pi * 0.5, 2.0))).margin(0.01));
    CHECK(spread.contrast(0.0) == 1.0);
    // Diffraction's tail: 2 lambda N / (pi^2 r) of the light falls beyond the radius r, far out (asymptote of the Airy
    // pattern's encircled energy; r of the circle as large as the square). A Gaussian has nothing there.
    const double radius_um = 12.0 * 8.0 * 2.0 / std::sqrt(std::numbers::pi);
    const double beyond = 2.0 * 10.3 / (std::numbers::pi * std::numbers::pi * radius_um);
    CHECK(1.0 - share_within(spread, 8.0) == Approx(beyond).epsilon(0.25));
    CameraSpec gaussian;
    gaussian.diffraction = false;
    CHECK(1.0 - share_within(PointSpread(gaussian, 1.0), 8.0) < 1e-4);
    CHECK(1.0 - share_within(spread, 1.5) > 5.0 * (1.0 - share_within(PointSpread(gaussian, 1.0), 1.5)));
}

TEST_CASE("point spread: more blur than diffraction is made up by a Gaussian, less is refused", "[scene]") {
    CameraSpec soft;
    soft.blur_sigma_px = 0.8;
    const PointSpread spread(soft, 1.0);
    CHECK(spread.contrast(0.5) == Approx(std::exp(-2.0 * std::pow(std::numbers::pi * 0.8 * 0.5, 2.0))).epsilon(0.01));
    CameraSpec sharp;
    sharp.blur_sigma_px = 0.3;
    CHECK_THROWS_WITH(PointSpread(sharp, 1.0), Catch::Contains("sharper than diffraction"));
}

TEST_CASE("point spread: the hidden draw widens it, light kept", "[scene]") {
    const PointSpread plain(CameraSpec{}, 1.0);
    const PointSpread wide(CameraSpec{}, 1.1);
    CHECK(width_at_half_height(wide) == Approx(1.1 * width_at_half_height(plain)).epsilon(1e-3));
    CHECK(share_within(wide, 6.6) == Approx(share_within(plain, 6.0)).epsilon(1e-3));
}

TEST_CASE("picture: samples taken from the slope agree with a ray for each", "[scene]") {
    SceneSpec spec = scene_test::read_scene_text(scene_test::small_scene_text());
    spec.flights.front().height_m = 24.0;
    const World world(spec, 3);
    const LightPlanes quick(world);
    const LightPlanes full(world, LightPlanes::Effort::every_ray);
    const auto a = quick.cast(world.shots[1]);
    const auto b = full.cast(world.shots[1]);
    std::vector<double> errors;
    double kelvin = world.band.of_celsius(30.5) - world.band.of_celsius(29.5);
    for (std::size_t i = 0; i < a.mean.pixels().size(); ++i) {
        errors.push_back(static_cast<double>(a.mean.pixels()[i] - b.mean.pixels()[i]) / kelvin);
    }
    CHECK(std::abs(mean_of(errors)) < 0.002);
    CHECK(deviation_of(errors) < 0.02);
    CHECK(std::abs(*std::ranges::max_element(errors, {}, [](double e) { return std::abs(e); })) < 0.3);
}

TEST_CASE("detector: noise has its stated deviation, more of it in the cold", "[scene]") {
    SceneSpec spec = scene_test::quiet_scene();
    spec.camera.noise_k = 0.05;
    spec.camera.range_low_c = -60.0;
    const World world(spec, 3);
    const Detector detector(world);
    // Factors of check-values for 7.5 to 14 um: 2.43 at -40 degC, 0.60 at 100 degC.
    for (const auto& [celsius, factor] : {std::pair{30.0F, 1.0}, std::pair{-40.0F, 2.43}, std::pair{100.0F, 0.60}}) {
        const heatrow::Image<float> flat(200, 160, celsius);
        const auto noise = differences(detector.read(flat, 0), flat);
        CHECK(std::abs(mean_of(noise)) < 4.0 * 0.05 * factor / std::sqrt(32000.0));
        CHECK(deviation_of(noise) == Approx(0.05 * factor).epsilon(0.025));
        // New in every frame, the same again for the same frame.
        const auto other = differences(detector.read(flat, 0), detector.read(flat, 1));
        CHECK(deviation_of(other) == Approx(0.05 * factor * std::numbers::sqrt2).epsilon(0.025));
        CHECK(deviation_of(differences(detector.read(flat, 1), detector.read(flat, 1))) == 0.0);
    }
}

TEST_CASE("detector: fixed pattern, rows and columns stand still", "[scene]") {
    SceneSpec spec = scene_test::quiet_scene();
    spec.camera.fixed_pattern_k = 0.04;
    const World world(spec, 3);
    const Detector detector(world);
    const heatrow::Image<float> flat(200, 160, 20.0F);
    CHECK(deviation_of(differences(detector.read(flat, 0), flat)) == Approx(0.04).epsilon(0.03));
    CHECK(deviation_of(differences(detector.read(flat, 0), detector.read(flat, 1))) < 1e-6);
    spec.camera.fixed_pattern_k = 0.0;
    spec.camera.column_pattern_k = 0.03;
    const World striped(spec, 3);
    const auto stripes = Detector(striped).read(flat, 0);
    std::vector<double> columns;
    for (int x = 0; x < 200; ++x) {
        columns.push_back(static_cast<double>(stripes.view()(x, 0)) - 20.0);
        CHECK(stripes.view()(x, 0) == stripes.view()(x, 159));
    }
    CHECK(deviation_of(columns) == Approx(0.03).epsilon(0.2));
}

TEST_CASE("detector: the offset drifts evenly and jumps at each shutter event", "[scene]") {
    SceneSpec spec = scene_test::quiet_scene();
    spec.camera.shutter_interval_s = 100.0;
    spec.camera.shutter_jump_k = 0.4;
    spec.camera.drift_k_per_min = 0.3;
    std::vector<double> jumps;
    std::vector<double> rates;
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        const World world(spec, seed);
        const Detector detector(world);
        int events = 0;
        for (double t = 0.0; t < 1000.0; t += 1.0) {
            const double step = detector.offset_k(t + 1.0) - detector.offset_k(t);
            const double next = detector.offset_k(t + 2.0) - detector.offset_k(t + 1.0);
            if (std::abs(step - next) < 1e-9) {
                continue;
            }
            const double after = detector.offset_k(t + 3.0) - detector.offset_k(t + 2.0);
            if (std::abs(next - after) > 1e-9) {
                ++events;  // next holds the jump
                rates.push_back(60.0 * step);
                jumps.push_back(detector.offset_k(t + 2.0));
            }
        }
        CHECK((events == 10 || events == 9 || events == 11));
    }
    CHECK(deviation_of(rates) == Approx(0.3).epsilon(0.12));
    CHECK(deviation_of(jumps) == Approx(0.4).epsilon(0.12));
    CHECK(std::abs(mean_of(jumps)) < 0.07);
}

TEST_CASE("detector: bad pixels in their stated share, the range's end is written", "[scene]") {
    SceneSpec spec = scene_test::quiet_scene();
    spec.camera.dead_pixels = 0.001;
    spec.camera.range_high_c = 120.0;
    const World world(spec, 3);
    const Detector detector(world);
    const auto at_20 = detector.read(heatrow::Image<float>(200, 160, 20.0F), 0);
    const auto at_60 = detector.read(heatrow::Image<float>(200, 160, 60.0F), 0);
    int dead = 0;
    for (std::size_t i = 0; i < at_20.pixels().size(); ++i) {
        dead += at_20.pixels()[i] == at_60.pixels()[i] ? 1 : 0;
    }
    CHECK((dead == 32 || dead == 31));  // two may fall on one
    const auto hot = detector.read(heatrow::Image<float>(200, 160, 150.0F), 0);
    CHECK(std::ranges::max(hot.pixels()) == 120.0F);
    const auto cold = detector.read(heatrow::Image<float>(200, 160, -70.0F), 0);
    CHECK(std::ranges::min(cold.pixels()) == -40.0F);
}

TEST_CASE("detector: the camera's gain acts about 25 degC", "[scene]") {
    SceneSpec spec = scene_test::quiet_scene();
    spec.hidden.camera_gain_share = 0.02;
    const World world(spec, 3);
    REQUIRE(world.hidden.camera_gain != 1.0);
    const auto at_75 = Detector(world).read(heatrow::Image<float>(200, 160, 75.0F), 0);
    CHECK(static_cast<double>(at_75.pixels()[77]) == Approx(25.0 + 50.0 * world.hidden.camera_gain).margin(1e-4));
    const auto at_25 = Detector(world).read(heatrow::Image<float>(200, 160, 25.0F), 0);
    CHECK(static_cast<double>(at_25.pixels()[77]) == Approx(25.0).margin(1e-4));
}

TEST_CASE("hidden: every draw is even within its half width, and no two go together", "[scene]") {
    const HiddenSpec spec;
    constexpr int kSeeds = 6000;
    std::vector<std::vector<double>> draws;
    std::vector<std::string> names;
    for (std::uint64_t seed = 1; seed <= kSeeds; ++seed) {
        const auto named = named_draws(draw_hidden(spec, seed));
        draws.resize(named.size());
        names.clear();
        for (std::size_t i = 0; i < named.size(); ++i) {
            names.push_back(named[i].first);
            draws[i].push_back(named[i].second);
        }
    }
    const std::vector<std::pair<double, double>> middle_and_half{{0.0, 0.02},
                                                                 {0.0, 10.0},
                                                                 {1.0, 0.1},
                                                                 {1.0, 0.2},
                                                                 {1.0, 0.15},
                                                                 {1.0, 0.03},
                                                                 {1.0, 0.02},
                                                                 {0.0, 0.5},
                                                                 {0.0, 2.0},
                                                                 {0.0, 2.0}};
    REQUIRE(draws.size() == middle_and_half.size());
    for (std::size_t i = 0; i < draws.size(); ++i) {
        const auto [middle, half] = middle_and_half[i];
        INFO(names[i]);
        const double deviation = half / std::sqrt(3.0);
        CHECK(mean_of(draws[i]) == Approx(middle).margin(4.0 * deviation / std::sqrt(kSeeds)));
        CHECK(deviation_of(draws[i]) == Approx(deviation).epsilon(0.03));
        CHECK(std::ranges::min(draws[i]) >= middle - half);
        CHECK(std::ranges::max(draws[i]) <= middle + half);
        for (std::size_t k = 0; k < i; ++k) {
            double product = 0.0;
            for (std::size_t n = 0; n < kSeeds; ++n) {
                product += (draws[i][n] - middle) * (draws[k][n] - middle_and_half[k].first) / kSeeds;
            }
            CHECK(std::abs(product) < 4.5 * deviation * middle_and_half[k].second / std::sqrt(3.0) / std::sqrt(kSeeds));
        }
    }
}
