#include "heatrow/measure/areas.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

// temperature = x + 100 y
Image<float> ramp(int width, int height) {
    Image<float> image(width, height);
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            image.view()(x, y) = static_cast<float>(x + 100 * y);
        }
    }
    return image;
}

ImageView<const float> view_of(const Image<float>& image) {
    return image.view();
}

std::string problem(std::string_view text) {
    const auto area = parse_area(text);
    return area ? "" : area.error();
}

}  // namespace

TEST_CASE("area text: every shape is read", "[measure]") {
    const auto rectangle = parse_area("cell=rect:1,2,3,4");
    REQUIRE(rectangle);
    CHECK(rectangle->name == "cell");
    CHECK(std::get<RectangleShape>(rectangle->shape).height == 4);
    const auto circle = parse_area("spot=circle:10.5,20,3.5");
    REQUIRE(circle);
    CHECK(std::get<CircleShape>(circle->shape).x == 10.5);
    const auto point = parse_area("p=point:7,8");
    REQUIRE(point);
    CHECK(std::get<PointShape>(point->shape).y == 8);
    const auto polygon = parse_area("roof=polygon:0,0,10,0,10,10");
    REQUIRE(polygon);
    CHECK(std::get<PolygonShape>(polygon->shape).corners_px.size() == 3);
}

TEST_CASE("area text: what cannot be read is named", "[measure]") {
    CHECK_THAT(problem("rect:1,2,3,4"), Contains("NAME=SHAPE:NUMBERS"));
    CHECK_THAT(problem("=rect:1,2,3,4"), Contains("NAME=SHAPE:NUMBERS"));
    CHECK_THAT(problem("a=rect"), Contains("NAME=SHAPE:NUMBERS"));
    CHECK_THAT(problem("a=rect:1,2,3"), Contains("four whole numbers"));
    CHECK_THAT(problem("a=rect:1,2,0,4"), Contains("at least 1"));
    CHECK_THAT(problem("a=rect:1.5,2,3,4"), Contains("whole"));
    CHECK_THAT(problem("a=rect:1e9,2,3,4"), Contains("whole"));
    CHECK_THAT(problem("a=circle:1,2,0"), Contains("above zero"));
    CHECK_THAT(problem("a=point:1"), Contains("x,y"));
    CHECK_THAT(problem("a=polygon:1,2,3,4"), Contains("three corners"));
    CHECK_THAT(problem("a=polygon:1,2,3,4,5"), Contains("three corners"));
    CHECK_THAT(problem("a=star:1,2"), Contains("none of point, rect"));
    CHECK_THAT(problem("a=rect:1,two,3,4"), Contains("separated by commas"));
    CHECK_THAT(problem("a=rect:1,,3,4"), Contains("separated by commas"));
    CHECK_THAT(problem("a=circle:nan,1,2"), Contains("separated by commas"));
}

TEST_CASE("area pixels: counted by their centres", "[measure]") {
    CHECK(pixels_of(PointShape{3, 4}, 10, 10).size() == 1);
    CHECK(pixels_of(RectangleShape{1, 2, 3, 4}, 10, 10).size() == 12);
    CHECK(pixels_of(CircleShape{5, 5, 1.0}, 10, 10).size() == 5);
    CHECK(pixels_of(CircleShape{5, 5, 1.5}, 10, 10).size() == 9);
    // edges and corners count
    const PolygonShape square{{{1, 1}, {4, 1}, {4, 4}, {1, 4}}};
    CHECK(pixels_of(square, 10, 10).size() == 16);
    const PolygonShape triangle{{{0, 0}, {4, 0}, {0, 4}}};
    CHECK(pixels_of(triangle, 10, 10).size() == 15);
    // the direction of the corners does not matter
    const PolygonShape turned{{{0, 4}, {4, 0}, {0, 0}}};
    CHECK(pixels_of(turned, 10, 10).size() == 15);
    // even-odd: the notch of a U is outside
    const PolygonShape notch{{{0, 0}, {9, 0}, {9, 9}, {6, 9}, {6, 3}, {3, 3}, {3, 9}, {0, 9}}};
    const auto pixels = pixels_of(notch, 12, 12);
    CHECK(std::find(pixels.begin(), pixels.end(), PixelPosition{4, 6}) == pixels.end());
    CHECK(std::find(pixels.begin(), pixels.end(), PixelPosition{1, 6}) != pixels.end());
}

TEST_CASE("area pixels: cut at the picture's border, and said so", "[measure]") {
    CHECK(pixels_of(RectangleShape{-2, -2, 4, 4}, 10, 10).size() == 4);
    CHECK(pixels_of(RectangleShape{20, 20, 4, 4}, 10, 10).empty());
    CHECK(pixels_of(CircleShape{1e12, 1e12, 5.0}, 10, 10).empty());
    CHECK(reaches_outside(RectangleShape{-2, -2, 4, 4}, 10, 10));
    CHECK(reaches_outside(RectangleShape{8, 8, 3, 1}, 10, 10));
    CHECK_FALSE(reaches_outside(RectangleShape{8, 8, 2, 2}, 10, 10));
    CHECK(reaches_outside(PointShape{10, 0}, 10, 10));
    CHECK_FALSE(reaches_outside(PointShape{9, 9}, 10, 10));
}

TEST_CASE("area figures: of a ramp", "[measure]") {
    const Image<float> image = ramp(20, 20);
    const AreaFigures f = measure_area(RectangleShape{2, 3, 5, 5}, view_of(image));
    CHECK(f.pixels == 25);
    CHECK(f.missing == 0);
    CHECK(f.coldest.value.value() == 302.0);
    CHECK(f.coldest.at == PixelPosition{2, 3});
    CHECK(f.hottest.value.value() == 706.0);
    CHECK(f.hottest.at == PixelPosition{6, 7});
    CHECK_THAT(f.mean.value(), WithinAbs(504.0, 1e-9));
    CHECK_THAT(f.median.value(), WithinAbs(504.0, 1e-9));
    // variance of 0..4 twice: 2 (1 + 10^4), with n - 1
    CHECK_THAT(f.deviation.value(), WithinAbs(std::sqrt(2.0 * 10001.0 * 25.0 / 24.0), 1e-6));
    CHECK_THAT(f.hottest_3x3.value.value(), WithinAbs(605.0, 1e-9));
    CHECK(f.hottest_3x3.at == PixelPosition{5, 6});
    CHECK_THAT(f.coldest_3x3.value.value(), WithinAbs(403.0, 1e-9));
    CHECK(f.coldest_3x3.at == PixelPosition{3, 4});
}

TEST_CASE("area figures: a spike is the hottest pixel but not the hottest 3 x 3", "[measure]") {
    Image<float> image(30, 30, 20.0F);
    image.view()(5, 5) = 90.0F;  // one pixel
    for (int y = 20; y < 23; ++y) {
        for (int x = 20; x < 23; ++x) {
            image.view()(x, y) = 40.0F;
        }
    }
    const AreaFigures f = measure_picture(view_of(image));
    CHECK(f.hottest.at == PixelPosition{5, 5});
    CHECK(f.hottest_3x3.at == PixelPosition{21, 21});
    CHECK_THAT(f.hottest_3x3.value.value(), WithinAbs(40.0, 1e-6));
}

TEST_CASE("area figures: missing pixels are counted and left out", "[measure]") {
    Image<float> image(10, 10, 20.0F);
    image.view()(4, 4) = std::nanf("");
    const AreaFigures f = measure_area(RectangleShape{3, 3, 3, 3}, view_of(image));
    CHECK(f.pixels == 9);
    CHECK(f.missing == 1);
    CHECK(f.mean.value() == 20.0);
    CHECK_FALSE(f.hottest_3x3.value.is_known());  // the only window has a hole
    CHECK(f.hottest_3x3.at == PixelPosition{-1, -1});
    const AreaFigures nothing = measure_area(PointShape{4, 4}, view_of(image));
    CHECK(nothing.pixels == 1);
    CHECK(nothing.missing == 1);
    CHECK_FALSE(nothing.mean.is_known());
    CHECK_FALSE(nothing.hottest.value.is_known());
}

TEST_CASE("area figures: a point has no spread and no 3 x 3", "[measure]") {
    const Image<float> image = ramp(5, 5);
    const AreaFigures f = measure_area(PointShape{2, 2}, view_of(image));
    CHECK(f.mean.value() == 202.0);
    CHECK_FALSE(f.deviation.is_known());
    CHECK_FALSE(f.hottest_3x3.value.is_known());
}

TEST_CASE("surroundings: the median of the ring, not of the area", "[measure]") {
    Image<float> image(60, 60, 20.0F);
    for (int y = 25; y < 35; ++y) {
        for (int x = 25; x < 35; ++x) {
            image.view()(x, y) = 50.0F;
        }
    }
    CHECK(median_around(RectangleShape{25, 25, 10, 10}, view_of(image)).value() == 20.0);
    CHECK_FALSE(median_around(RectangleShape{0, 0, 60, 60}, view_of(image)).is_known());
}
