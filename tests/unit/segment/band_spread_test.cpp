#include "heatrow/segment/band_spread.hpp"

#include "heatrow/segment/sample.hpp"
#include "support/module_field.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using namespace heatrow::test;

namespace {

FieldOptions two_tiers() {
    FieldOptions options;
    options.modules_up = 2;
    return options;
}

PosedCamera above_the_field() {
    return {small_lens(), looking_down(5.0, 2.5, 18.0)};
}

PaintOptions noisy() {
    PaintOptions options;
    options.noise = 20.0;
    return options;
}

// Smeared along x by a first-order detector, once to the right and once to the left, so that bands stay in their places
// as a lock would have them.
Image<float> trailed(const Image<float>& sharp, double motion_px) {
    Image<float> picture = sharp;
    const auto share = static_cast<float>(1.0 - std::exp(-1.0 / motion_px));
    auto pixels = picture.view();
    for (int y = 0; y < picture.height(); ++y) {
        for (int x = 1; x < picture.width(); ++x) {
            pixels(x, y) = share * pixels(x, y) + (1.0F - share) * pixels(x - 1, y);
        }
        for (int x = picture.width() - 2; x >= 0; --x) {
            pixels(x, y) = share * pixels(x, y) + (1.0F - share) * pixels(x + 1, y);
        }
    }
    return picture;
}

}  // namespace

TEST_CASE("band spread: a trail adds the square of its length, across it nothing", "[segment]") {
    const Layout layout = make_field(two_tiers());
    const LayoutIndex site(layout);
    const PosedCamera camera = above_the_field();
    const Image<float> sharp = paint(layout, camera, noisy());
    const auto slots = ModuleSampler(site, SampleOptions{}).sample(camera, sharp.view());
    const FrameSpread still = band_spread(site, slots, camera, sharp.view(), kNaN);
    REQUIRE(std::isfinite(still.along.variance_px2));
    REQUIRE(std::isfinite(still.across.variance_px2));
    CHECK(still.along.variance_px2 < still.along.width_px2 + 0.25 + 1.0);  // blur 0.5 px, and pixels
    for (const double motion : {0.7, 1.0}) {
        const Image<float> moved = trailed(sharp, motion);
        const FrameSpread spread = band_spread(site, slots, camera, moved.view(), kNaN);
        // Of a geometric trail with factor q the variance is q / (1 - q)^2, close to the square of the length; two of
        // them here.
        const double q = std::exp(-1.0 / motion);
        const double added = 2.0 * q / ((1.0 - q) * (1.0 - q));
        INFO("motion " << motion);
        CHECK(spread.along.variance_px2 - still.along.variance_px2 == Approx(added).epsilon(0.3));
        CHECK(spread.across.variance_px2 - still.across.variance_px2 == Approx(0.0).margin(0.4));
    }
    // A longer trail leaves the cuts and reads shorter than it is, but long.
    const Image<float> far_moved = trailed(sharp, 4.0);
    const FrameSpread far = band_spread(site, slots, camera, far_moved.view(), kNaN);
    CHECK(far.along.variance_px2 - still.along.variance_px2 > 1.5);
}

TEST_CASE("band spread: hot cells beside bands are no motion", "[segment]") {
    const Layout layout = make_field(two_tiers());
    const LayoutIndex site(layout);
    const PosedCamera camera = above_the_field();
    const Image<float> plain = paint(layout, camera, noisy());
    PaintOptions heated = noisy();
    heated.cell_excess = [](int module, int cell) { return cell == 6 * (module % 10) ? 3000.0 : 0.0; };
    const Image<float> hot = paint(layout, camera, heated);
    const auto spread = [&](const Image<float>& picture) {
        const auto slots = ModuleSampler(site, SampleOptions{}).sample(camera, picture.view());
        return band_spread(site, slots, camera, picture.view(), kNaN);
    };
    CHECK(spread(hot).along.variance_px2 == Approx(spread(plain).along.variance_px2).margin(0.3));
    CHECK(spread(hot).across.variance_px2 == Approx(spread(plain).across.variance_px2).margin(0.3));
}

TEST_CASE("band spread: bands lie where the layout has them, or they do not", "[segment]") {
    const Layout drawn = make_field(two_tiers());
    const LayoutIndex site(drawn);
    const PosedCamera camera = above_the_field();
    const auto share_fitting = [&](const Layout& built) {
        const Image<float> picture = paint(built, camera, noisy());
        const auto slots = ModuleSampler(site, SampleOptions{}).sample(camera, picture.view());
        const FrameSpread spread = band_spread(site, slots, camera, picture.view(), kNaN);
        REQUIRE(spread.fits.size() == slots.size());
        double cut = 0.0;
        double fitting = 0.0;
        for (const BandFit& fit : spread.fits) {
            cut += fit.cut;
            fitting += fit.fitting;
        }
        REQUIRE(cut > 20.0);
        return fitting / cut;
    };
    CHECK(share_fitting(drawn) > 0.95);
    Layout shifted = drawn;  // 8 cm along the row, 2.7 px
    for (Module& module : shifted.modules) {
        for (auto& corner : module.corners_in_site) {
            corner.x() += 0.08;
        }
    }
    CHECK(share_fitting(shifted) < 0.6);  // bands between tiers still fit
}

TEST_CASE("band spread: a picture without bands says nothing", "[segment]") {
    const Layout layout = make_field(two_tiers());
    const LayoutIndex site(layout);
    const PosedCamera camera = above_the_field();
    PaintOptions even = noisy();
    even.rim = even.ground = even.glass;
    const Image<float> picture = paint(layout, camera, even);
    const auto slots = ModuleSampler(site, SampleOptions{}).sample(camera, picture.view());
    const FrameSpread spread = band_spread(site, slots, camera, picture.view(), kNaN);
    CHECK_FALSE(spread.along.variance_px2 > 40.0);
    int fitting = 0;
    int cut = 0;
    for (const BandFit& fit : spread.fits) {
        cut += fit.cut;
        fitting += fit.fitting;
    }
    CHECK(2 * fitting < cut);
}
