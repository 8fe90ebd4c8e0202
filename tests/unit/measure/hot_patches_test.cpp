#include "heatrow/measure/hot_patches.hpp"

#include "heatrow/measure/smoothing.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <functional>
#include <random>

using namespace heatrow;
using Catch::Matchers::WithinAbs;

namespace {

constexpr int kWidth = 320;
constexpr int kHeight = 256;

// How a camera sees a scene: blurred, noisy, in steps.
struct Seen {
    double blur_px = 4.0;
    double noise_k = 0.3;
    double step_k = 0.4;
    std::uint64_t seed = 3;
};

Image<float> see(const std::function<double(double, double)>& scene, const Seen& seen = {}) {
    Image<float> sharp(kWidth, kHeight);
    for (int y = 0; y < kHeight; ++y) {
        for (int x = 0; x < kWidth; ++x) {
            sharp.view()(x, y) = static_cast<float>(scene(x, y));
        }
    }
    Image<float> image = smooth(static_cast<const Image<float>&>(sharp).view(), seen.blur_px);
    std::mt19937_64 engine(seen.seed);
    std::normal_distribution<double> normal;
    for (float& value : image.pixels()) {
        const double noisy = static_cast<double>(value) + seen.noise_k * normal(engine);
        value = static_cast<float>(seen.step_k * std::round(noisy / seen.step_k));
    }
    return image;
}

bool in_box(double x, double y, double left, double top, double right, double bottom) {
    return x >= left && x < right && y >= top && y < bottom;
}

std::vector<HotPatch> hot(const Image<float>& image, const HotPatchOptions& options = {}) {
    return find_hot_patches(image.view(), options);
}
std::vector<HotPatch> warm(const Image<float>& image) {
    return find_warm_patches(image.view());
}

}  // namespace

TEST_CASE("hot patches: a cell in perspective is found with its contrast", "[measure]") {
    for (std::uint64_t seed = 1; seed <= 5; ++seed) {
        Seen seen;
        seen.seed = seed;
        const auto image = see(
            [](double x, double y) {
                const bool cell = y >= 90 && y < 150 && x >= 120 - (y - 90) / 4 && x < 210 + (y - 90) / 5;
                return cell ? 42.0 : 34.0;
            },
            seen);
        const auto patches = hot(image);
        REQUIRE(patches.size() == 1);
        CHECK_THAT(patches[0].contrast.value(), WithinAbs(8.0, 0.5));
        CHECK_THAT(patches[0].median.value(), WithinAbs(42.0, 0.5));
        CHECK(patches[0].contains(165, 120, kWidth));
        CHECK_FALSE(patches[0].contains(165, 60, kWidth));
        CHECK_THAT(patches[0].centre_px.y(), WithinAbs(120.0, 3.0));
        CHECK_THAT(static_cast<double>(patches[0].pixels.size()), WithinAbs(90.0 * 60.0 + 27.0 * 30.0, 500.0));
        CHECK(patches[0].corners_px.size() == 4);
    }
}

TEST_CASE("hot patches: two neighbours in a warm column are two", "[measure]") {
    const auto image = see([](double x, double y) {
        const bool column = x >= 120 && x < 200;
        const bool cell = column && (in_box(x, y, 0, 40, 320, 90) || in_box(x, y, 0, 140, 320, 190));
        return cell ? 46.0 : (column ? 38.0 : 34.0);
    });
    const auto patches = hot(image);
    CHECK(patches.size() == 2);
}

TEST_CASE("hot patches: a cell cut by the border is found where enough is seen", "[measure]") {
    const auto enough = see([](double x, double y) { return in_box(x, y, 240, 90, 320, 150) ? 44.0 : 34.0; });
    CHECK(hot(enough).size() == 1);
    const auto sliver = see([](double x, double y) { return in_box(x, y, 285, 60, 320, 190) ? 44.0 : 34.0; });
    CHECK(hot(sliver).empty());
    REQUIRE(warm(sliver).size() == 1);
    CHECK(warm(sliver)[0].objection == PatchObjection::cut_off);
}

TEST_CASE("hot patches: a band across the picture is no cell", "[measure]") {
    const auto image = see([](double, double y) { return y >= 100 && y < 150 ? 44.0 : 34.0; });
    CHECK(hot(image).empty());
}

TEST_CASE("hot patches: round and drawn-out blobs are no cells", "[measure]") {
    for (const double stretch : {1.0, 1.5, 2.0}) {
        for (std::uint64_t seed = 1; seed <= 4; ++seed) {
            Seen seen;
            seen.seed = seed;
            const auto image = see(
                [stretch](double x, double y) { return std::hypot((x - 160) / stretch, y - 128) < 45.0 ? 42.0 : 34.0; },
                seen);
            INFO("stretch " << stretch << ", seed " << seed);
            CHECK(hot(image).empty());
            REQUIRE_FALSE(warm(image).empty());
            CHECK(warm(image)[0].objection == PatchObjection::not_straight);
        }
    }
}

TEST_CASE("hot patches: half a blob at the border is no cell", "[measure]") {
    for (std::uint64_t seed = 1; seed <= 4; ++seed) {
        Seen seen;
        seen.seed = seed;
        const auto image =
            see([](double x, double y) { return std::hypot(x - 320, y - 128) < 75.0 ? 42.0 : 34.0; }, seen);
        INFO("seed " << seed);
        CHECK(hot(image).empty());
    }
}

TEST_CASE("hot patches: clouds are no cells", "[measure]") {
    const auto image = see([](double x, double y) {
        const double cloud = std::exp(-(std::pow((x - 180) / 60, 2) + std::pow((y - 120) / 40, 2)) / 2.0);
        const double other = std::exp(-(std::pow((x - 90) / 35, 2) + std::pow((y - 180) / 50, 2)) / 2.0);
        return 34.0 + 9.0 * cloud + 6.0 * other;
    });
    CHECK(hot(image).empty());
}

TEST_CASE("hot patches: a plain module, a gradient, a cold frame give none", "[measure]") {
    CHECK(hot(see([](double, double) { return 34.0; })).empty());
    CHECK(hot(see([](double x, double y) { return 30.0 + 0.04 * x + 0.05 * y; })).empty());
    // warm glass beside a cold bar: stands out of its ring, not out of the module
    const auto frame = see([](double x, double y) {
        const bool bar = (y >= 60 && y < 75) || (x >= 220 && x < 235);
        return bar ? 12.0 : 34.0;
    });
    CHECK(hot(frame).empty());
    // a window of glass among cold bars
    const auto window = see([](double x, double y) {
        const bool glass = !in_box(x, y, 90, 30, 230, 110) || in_box(x, y, 125, 50, 195, 90);
        return glass ? 34.0 : 20.0;
    });
    CHECK(hot(window).empty());
    REQUIRE_FALSE(warm(window).empty());
    CHECK(warm(window)[0].objection == PatchObjection::not_above_picture);
}

TEST_CASE("hot patches: noise alone gives none", "[measure]") {
    for (std::uint64_t seed = 1; seed <= 5; ++seed) {
        CHECK(hot(see([](double, double) { return 34.0; }, {1.0, 1.5, 0.4, seed})).empty());
    }
}

TEST_CASE("hot patches: a part of a patch along the same edge does not stand in for it", "[measure]") {
    // most of the patch is cut off by the upper border; its hotter lower strip alone would pass
    const auto image = see([](double x, double y) {
        const bool strip = in_box(x, y, 100, 26, 200, 56);
        return strip ? 47.0 : (in_box(x, y, 100, 0, 200, 26) ? 44.0 : 34.0);
    });
    CHECK(hot(image).empty());
    REQUIRE_FALSE(warm(image).empty());
    CHECK(warm(image)[0].objection == PatchObjection::cut_off);
}

TEST_CASE("hot patches: a cell is found inside an object with a sharper edge", "[measure]") {
    const auto image = see([](double x, double y) {
        const bool module = in_box(x, y, 60, 30, 270, 220);
        return in_box(x, y, 110, 100, 170, 150) ? 46.0 : (module ? 38.0 : 10.0);
    });
    const auto patches = hot(image);
    REQUIRE(patches.size() == 1);
    CHECK(patches[0].contains(140, 125, kWidth));
    CHECK_THAT(patches[0].contrast.value(), WithinAbs(8.0, 0.5));
}

TEST_CASE("hot patches: the least contrast is an option", "[measure]") {
    const auto image = see([](double x, double y) { return in_box(x, y, 100, 80, 200, 150) ? 36.5 : 34.0; });
    CHECK(hot(image).empty());
    HotPatchOptions options;
    options.least_contrast = KelvinDelta(1.5);
    CHECK(hot(image, options).size() == 1);
}

TEST_CASE("hot patches: unknown pixels belong to nothing", "[measure]") {
    Image<float> image = see([](double x, double y) { return in_box(x, y, 100, 80, 200, 150) ? 44.0 : 34.0; });
    for (int x = 0; x < kWidth; ++x) {
        image.view()(x, 200) = std::nanf("");
    }
    CHECK(hot(image).size() == 1);
    for (float& value : image.pixels()) {
        value = std::nanf("");
    }
    CHECK(hot(image).empty());
    CHECK(find_hot_patches(ImageView<const float>{}).empty());
}

TEST_CASE("hot patches: options that cannot be are named", "[measure]") {
    HotPatchOptions options;
    CHECK(problem_with(options).empty());
    options.level_step = KelvinDelta(0.0);
    CHECK_FALSE(problem_with(options).empty());
    options = {};
    options.ring_to_px = 5.0;
    CHECK_FALSE(problem_with(options).empty());
    options = {};
    options.least_width_px = 10.0;
    CHECK_FALSE(problem_with(options).empty());
    options = {};
    options.least_contrast = KelvinDelta(kNaN);
    CHECK_FALSE(problem_with(options).empty());
}

TEST_CASE("hot patches: objections have names", "[measure]") {
    for (const auto o : {PatchObjection::not_above_picture,
                         PatchObjection::not_straight,
                         PatchObjection::soft_edge,
                         PatchObjection::cut_off}) {
        CHECK_FALSE(to_string(o).empty());
    }
}
