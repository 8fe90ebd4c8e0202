#include "heatrow/report/thermal_picture.hpp"

#include "support/xml_check.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <cstdint>
#include <string>

using namespace heatrow;
using Catch::Matchers::Contains;

namespace {

Image<float> scene() {
    Image<float> image(40, 30, 25.0F);
    for (int y = 10; y < 16; ++y) {
        for (int x = 20; x < 28; ++x) {
            image.view()(x, y) = 60.0F;
        }
    }
    image.view()(2, 2) = std::nanf("");
    return image;
}

ThermalPicture picture_of(const Image<float>& image) {
    ThermalPicture picture;
    picture.temperature_c = image.view();
    picture.scale = TemperatureScale(Celsius(20.0), Celsius(70.0), Palette::inferno);
    picture.title = "a <b> & c";
    picture.marks.push_back({"hot",
                             "60.0 °C",
                             {{19.5, 9.5}, {27.5, 9.5}, {27.5, 15.5}, {19.5, 15.5}},
                             true,
                             Eigen::Vector2d(22, 12),
                             Celsius(60.0)});
    picture.isotherm = Celsius(50.0);
    picture.metres_per_pixel = Metres(0.004);
    picture.notes = {"one sentence"};
    return picture;
}

std::uint32_t big_endian(const std::string& bytes, std::size_t at) {
    std::uint32_t value = 0;
    for (std::size_t i = 0; i < 4; ++i) {
        value = value << 8U | static_cast<unsigned char>(bytes[at + i]);
    }
    return value;
}

}  // namespace

TEST_CASE("thermal picture: the SVG is well formed and holds what was asked for") {
    const Image<float> image = scene();
    const std::string svg = thermal_picture_svg(picture_of(image));
    CHECK(heatrow::testing::xml_problem(svg) == "");
    CHECK_THAT(svg, Contains("a &lt;b&gt; &amp; c") && Contains("60.0 °C") && Contains("one sentence"));
    CHECK_THAT(svg, Contains("data:image/png;base64,iVBORw0KGgo"));
    CHECK_THAT(svg, Contains("4 cm"));  // length bar: 0.3 of 16 cm, rounded down
    CHECK(svg == thermal_picture_svg(picture_of(image)));
}

TEST_CASE("thermal picture: PNG and SVG have one layout, the PNG at twice the pixels") {
    const Image<float> image = scene();
    const std::string svg = thermal_picture_svg(picture_of(image));
    const std::string png = thermal_picture_png(picture_of(image));
    REQUIRE(png.substr(0, 8) == "\x89PNG\r\n\x1a\n");
    const auto number_behind = [&svg](const std::string& word) {
        return std::stod(svg.substr(svg.find(word) + word.size()));
    };
    CHECK(big_endian(png, 16) == static_cast<std::uint32_t>(std::lround(2.0 * number_behind("width=\""))));
    CHECK(big_endian(png, 20) == static_cast<std::uint32_t>(std::lround(2.0 * number_behind("height=\""))));
    CHECK(png == thermal_picture_png(picture_of(image)));
}

TEST_CASE("thermal picture: outlines of known places are drawn, doubtful ones dashed, labelled where there is room") {
    const Image<float> image = scene();
    ThermalPicture picture = picture_of(image);
    const std::string without = thermal_picture_svg(picture);
    picture.outlines.push_back({"M<1", {{2, 2}, {18, 2}, {18, 20}, {2, 20}}, false});
    const std::string placed = thermal_picture_svg(picture);
    CHECK(heatrow::testing::xml_problem(placed) == "");
    CHECK_THAT(placed, Contains("M&lt;1") && !Contains("stroke-dasharray"));
    CHECK(placed.size() > without.size());
    picture.outlines.front().doubtful = true;
    picture.outlines.front().outline_px = {{2, 2}, {3, 2}, {3, 3}, {2, 3}};
    const std::string doubtful = thermal_picture_svg(picture);
    CHECK_THAT(doubtful, Contains("stroke-dasharray") && !Contains("M&lt;1"));
    picture.ruler = false;
    CHECK(thermal_picture_svg(picture).size() < doubtful.size());
}

TEST_CASE("thermal picture: a plain one is the thermogram alone") {
    const Image<float> image = scene();
    ThermalPicture picture = picture_of(image);
    picture.plain = true;
    picture.width_px = 400.0;
    const std::string svg = thermal_picture_svg(picture);
    CHECK_THAT(svg, Contains("width=\"400\" height=\"300\""));
    CHECK_THAT(svg, !Contains("one sentence") && Contains("hot"));
}

TEST_CASE("thermal picture: nothing known, one temperature and one pixel are drawn too") {
    for (const float value : {std::nanf(""), 21.0F}) {
        for (const int width : {1, 3}) {
            const Image<float> image(width, 1, value);
            ThermalPicture picture;
            picture.temperature_c = image.view();
            const ShownRange range = rounded_out(range_of(image.view()));
            CHECK(range.high - range.low >= KelvinDelta(1.0 - 1e-9));
            picture.scale = TemperatureScale(range.low, range.high, Palette::cividis);
            CHECK(heatrow::testing::xml_problem(thermal_picture_svg(picture)) == "");
        }
    }
}

TEST_CASE("temperature scale: ends, middle and beyond") {
    const TemperatureScale scale(Celsius(10.0), Celsius(30.0), Palette::inferno);
    CHECK(scale.colour(Celsius(10.0)) == Colour{0, 0, 4});
    CHECK(scale.colour(Celsius(30.0)) == Colour{252, 255, 164});
    CHECK(scale.colour(Celsius(99.0)) == scale.colour(Celsius(30.0)));
    CHECK(scale.colour(Celsius(-5.0)) == scale.colour(Celsius(10.0)));
    // both palettes rise in lightness
    for (const Palette palette : {Palette::inferno, Palette::cividis}) {
        double last = -1.0;
        for (int i = 0; i <= 20; ++i) {
            const Colour c = palette_colour(palette, i / 20.0);
            const double lightness = 0.2126 * c.red + 0.7152 * c.green + 0.0722 * c.blue;
            CHECK(lightness > last);
            last = lightness;
        }
    }
}

TEST_CASE("temperature scale: limits that hold a series") {
    const Image<float> cold(4, 4, 12.0F);
    const Image<float> hot(4, 4, 61.0F);
    const ShownRange both = united(range_of(cold.view()), range_of(hot.view()));
    CHECK(both.low == Celsius(12.0));
    CHECK(both.high == Celsius(61.0));
    const ShownRange unknown;
    CHECK(united(unknown, both).low == both.low);
    CHECK(united(both, unknown).high == both.high);
    const ShownRange shown = rounded_out(both);
    CHECK(shown.low <= both.low);
    CHECK(shown.high >= both.high);
    CHECK(shown.high - shown.low < KelvinDelta(55.0));
}
