#include "heatrow/measure/thermogram.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/measure/difference.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <random>

using namespace heatrow;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

const BandRadiance& band() {
    static const BandRadiance table(Band{7.5, 14.0});
    return table;
}

ThermogramSettings settings(double emissivity = 1.0) {
    ThermogramSettings s;
    s.encoding.scale = 0.01;
    s.encoding.kelvin = true;
    s.conditions.emissivity = emissivity;
    s.conditions.reflected = Celsius(-20.0);
    return s;
}

const Area kHot{"hot", RectangleShape{30, 30, 20, 20}};
const Area kReference{"ref", RectangleShape{80, 30, 20, 20}};

// Glass of emissivity 0.85 under -20 degC at 50 degC, the hot area at 60 degC, rounded to counts.
Image<float> counts(double noise_k = 0.0) {
    const ObjectConditions glass{0.85, Celsius(-20.0), 1.0, Celsius(kNaN)};
    std::mt19937_64 engine(5);
    std::normal_distribution<double> normal;
    Image<float> image(128, 96);
    for (int y = 0; y < 96; ++y) {
        for (int x = 0; x < 128; ++x) {
            const bool hot = x >= 30 && x < 50 && y >= 30 && y < 50;
            const Celsius apparent = apparent_of_object(Celsius(hot ? 60.0 : 50.0), glass, band());
            image.view()(x, y) =
                static_cast<float>(std::round((to_kelvin(apparent).value() + noise_k * normal(engine)) / 0.01));
        }
    }
    return image;
}

DifferenceResult difference(const Thermogram& t, const Area& a, const Area& b) {
    const auto side = [&t](const Area& area) {
        const AreaResult result = t.measure(area);
        return DifferenceOperand{area.name, result.measured, result.flags};
    };
    return difference_of(side(a), side(b), t.settings().causes, band());
}

CountView view_of(const Image<float>& image) {
    return image.view();
}

}  // namespace

TEST_CASE("thermogram: the worked example of docs/radiometry.md", "[measure]") {
    const Image<float> image = counts();
    CHECK(image.view()(40, 40) == 32434.0F);
    CHECK(image.view()(90, 40) == 31525.0F);
    const Thermogram apparent(view_of(image), settings(), band());
    const Thermogram corrected(view_of(image), settings(0.85), band());
    CHECK_THAT(difference(apparent, kHot, kReference).difference.value.value(), WithinAbs(9.09, 0.005));
    CHECK_THAT(difference(corrected, kHot, kReference).difference.value.value(), WithinAbs(10.00, 0.005));
    CHECK_THAT(corrected.measure(kHot).figures.mean.value(), WithinAbs(60.0, 0.03));
    CHECK_THAT(apparent.measure(kHot).figures.mean.value(), WithinAbs(51.19, 0.03));
}

TEST_CASE("thermogram: noise comes from the picture and shrinks with the area", "[measure]") {
    const Image<float> image = counts(0.2);
    const Thermogram t(view_of(image), settings(), band());
    CHECK_THAT(t.noise().pixel.value(), WithinRel(0.2, 0.1));
    CHECK(t.settings().causes.quantisation_step.value() == 0.0);
    const AreaResult area = t.measure(kReference);
    CHECK_THAT(area.mean.budget.term_k(UncertaintyTerm::noise), WithinRel(t.noise().pixel.value() / 20.0, 1e-6));
    // the mean of 400 pixels is within a few of its standard errors
    CHECK_THAT(area.figures.mean.value(), WithinAbs(42.10, 0.05));
}

TEST_CASE("thermogram: without noise the rounding stays in the mean", "[measure]") {
    const Image<float> image = counts();
    const Thermogram t(view_of(image), settings(), band());
    CHECK(t.settings().causes.quantisation_step.value() == 0.01);
    CHECK_THAT(t.measure(kHot).mean.budget.term_k(UncertaintyTerm::noise), WithinRel(0.01 / std::sqrt(12.0), 1e-3));
}

TEST_CASE("thermogram: offset leaves a difference, gain stays in it", "[measure]") {
    const Image<float> image = counts();
    ThermogramSettings s = settings();
    s.causes.camera_offset = KelvinDelta(1.0);
    s.causes.camera_gain = 0.01;
    const Thermogram t(view_of(image), s, band());
    const auto d = difference(t, kHot, kReference);
    CHECK_THAT(d.difference.budget.term_k(UncertaintyTerm::camera_offset), WithinAbs(0.0, 1e-6));
    CHECK_THAT(d.difference.budget.term_k(UncertaintyTerm::camera_gain), WithinAbs(0.0909, 1e-3));
    CHECK_THAT(t.measure(kHot).mean.budget.term_k(UncertaintyTerm::camera_offset), WithinAbs(1.0, 1e-6));
}

TEST_CASE("thermogram: clipped pixels make a lower bound", "[measure]") {
    const Image<float> image = counts();
    ThermogramSettings s = settings();
    s.clipped_count = 32434.0F;
    const Thermogram t(view_of(image), s, band());
    const AreaResult hot = t.measure(kHot);
    const AreaResult reference = t.measure(kReference);
    CHECK(hot.flags.has(Flag::clipped));
    CHECK(hot.flags.has(Flag::lower_bound));
    CHECK(reference.flags.none());
    CHECK(difference(t, kHot, kReference).flags.has(Flag::lower_bound));
    CHECK_FALSE(difference(t, kReference, kHot).flags.has(Flag::lower_bound));
    CHECK(difference(t, kReference, kHot).flags.has(Flag::clipped));
}

TEST_CASE("thermogram: missing and impossible pixels are counted apart", "[measure]") {
    Image<float> image = counts();
    image.view()(3, 3) = 0.0F;
    image.view()(5, 5) = 22000.0F;  // 220 K: less than the mirrored part of a 20 degC room
    ThermogramSettings s = settings(0.2);
    s.conditions.reflected = Celsius(20.0);
    s.encoding.nodata = 0.0;
    const Thermogram t(view_of(image), s, band());
    CHECK(t.missing_pixels() == 1);
    CHECK(t.impossible_pixels() == 1);
    CHECK(std::isnan(t.temperature_c()(5, 5)));
}

TEST_CASE("thermogram: small and protruding areas say so", "[measure]") {
    const Image<float> image = counts();
    const Thermogram t(view_of(image), settings(), band());
    CHECK(t.measure({"p", PointShape{40, 40}}).too_small);
    CHECK(t.measure({"thin", RectangleShape{40, 40, 2, 20}}).too_small);
    CHECK_FALSE(t.measure(kHot).too_small);
    CHECK(t.measure({"edge", RectangleShape{120, 40, 20, 20}}).reaches_outside);
    CHECK_THAT(t.measure(kHot).surroundings.value(), WithinAbs(42.10, 0.03));
}

TEST_CASE("thermogram: settings that cannot be are refused", "[measure]") {
    const Image<float> image = counts();
    CHECK_THROWS_WITH(Thermogram(view_of(image), settings(0.0), band()), Contains("emissivity"));
    CHECK_THROWS_WITH(Thermogram(view_of(image), settings(1.2), band()), Contains("emissivity"));
}
