#include "heatrow/measure/enclosing_quadrilateral.hpp"
#include "heatrow/measure/outline.hpp"
#include "heatrow/measure/smoothing.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <functional>
#include <numbers>

using namespace heatrow;
using Catch::Matchers::WithinAbs;

namespace {

Component shape(int width, int height, const std::function<bool(int, int)>& inside) {
    Mask mask(width, height, 0);
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            mask.view()(x, y) = inside(x, y) ? 1 : 0;
        }
    }
    const auto all = components_of(mask, 1);
    REQUIRE(all.size() == 1);
    return all.front();
}

Component disc(double radius, double stretch = 1.0) {
    return shape(400, 400, [=](int x, int y) { return std::hypot((x - 200) / stretch, y - 200) <= radius; });
}

double share(const Component& component, int width, int height) {
    const CutOutline outline = split_at_border(trace_outline(component, width), width, height);
    return straight_share(outline, 0.07 * std::sqrt(static_cast<double>(component.area())));
}

double fill(const Component& component, int width) {
    return component.area() / polygon_area(enclosing_quadrilateral(trace_outline(component, width)));
}

}  // namespace

TEST_CASE("outline: of a rectangle is its perimeter and encloses its area", "[measure]") {
    const Component r = shape(20, 20, [](int x, int y) { return x >= 3 && x < 10 && y >= 5 && y < 9; });
    const auto outline = trace_outline(r, 20);
    CHECK(outline.size() == 2 * (7 + 4));
    CHECK_THAT(polygon_area(outline), WithinAbs(28.0, 1e-9));
}

TEST_CASE("outline: diagonal neighbours are walked round, holes are not walked", "[measure]") {
    // a ring with a hole, and a pinch where two pixels touch at a corner
    const Component ring = shape(9, 9, [](int x, int y) {
        return x >= 1 && x <= 7 && y >= 1 && y <= 7 && !(x >= 3 && x <= 5 && y >= 3 && y <= 5);
    });
    CHECK_THAT(polygon_area(trace_outline(ring, 9)), WithinAbs(49.0, 1e-9));
    const Component u =
        shape(4, 3, [](int x, int y) { return y == 2 || x == 0 || (x == 3 && y == 1) || (x == 3 && y == 0); });
    CHECK_THAT(polygon_area(trace_outline(u, 4)), WithinAbs(static_cast<double>(u.area()), 1e-9));
}

TEST_CASE("outline: where it runs along the border it is cut", "[measure]") {
    const Component corner = shape(30, 20, [](int x, int y) { return x < 6 && y < 4; });
    const CutOutline at_corner = split_at_border(trace_outline(corner, 30), 30, 20);
    CHECK(at_corner.cuts == 1);
    CHECK(at_corner.cut_px[0] == 4.0);
    CHECK(at_corner.cut_px[1] == 6.0);
    CHECK(at_corner.cut_px[2] == 0.0);
    REQUIRE(at_corner.seen.size() == 1);
    CHECK(at_corner.seen.front().size() == 11);
    const Component band = shape(30, 20, [](int, int y) { return y >= 5 && y < 9; });
    const CutOutline crossing = split_at_border(trace_outline(band, 30), 30, 20);
    CHECK(crossing.cuts == 2);
    CHECK(crossing.seen.size() == 2);
    const Component inner = shape(30, 20, [](int x, int y) { return x > 4 && x < 9 && y > 4 && y < 9; });
    const CutOutline whole = split_at_border(trace_outline(inner, 30), 30, 20);
    CHECK(whole.cuts == 0);
    REQUIRE(whole.seen.size() == 1);
    CHECK(whole.seen.front().front() == whole.seen.front().back());
    const Component all = shape(5, 5, [](int, int) { return true; });
    const CutOutline nothing = split_at_border(trace_outline(all, 5), 5, 5);
    CHECK(nothing.seen.empty());
    CHECK(nothing.cuts == 1);
    CHECK(straight_share(nothing, 1.0) == 0.0);
}

TEST_CASE("simplify: keeps corners, drops what is straight", "[measure]") {
    using V = Eigen::Vector2d;
    const std::vector<V> line{V(0, 0), V(1, 0.1), V(2, -0.1), V(3, 0), V(3, 1), V(3, 2), V(3, 3)};
    const auto simple = simplify(line, 0.3);
    REQUIRE(simple.size() == 3);
    CHECK(simple[1] == V(3, 0));
    const Component r = shape(40, 40, [](int x, int y) { return x >= 5 && x < 30 && y >= 5 && y < 20; });
    auto closed = trace_outline(r, 40);
    closed.push_back(closed.front());
    CHECK(simplify(closed, 1.0).size() == 5);
}

TEST_CASE("straight share: a square one, a disc about half", "[measure]") {
    CHECK_THAT(share(shape(100, 100, [](int x, int y) { return x >= 20 && x < 70 && y >= 30 && y < 80; }), 100, 100),
               WithinAbs(1.0, 1e-9));
    for (const double radius : {20.0, 40.0, 90.0, 150.0}) {
        CHECK(share(disc(radius), 400, 400) < 0.60);
    }
}

TEST_CASE("straight share and fill: a cell in perspective is told from an ellipse", "[measure]") {
    const Component trapezium = shape(
        300, 200, [](int x, int y) { return y >= 40 && y < 120 && x >= 100 - (y - 40) / 2 && x < 200 + (y - 40) / 3; });
    CHECK(share(trapezium, 300, 200) > 0.95);
    CHECK(fill(trapezium, 300) > 0.95);
    for (const double stretch : {1.0, 1.3, 2.0}) {
        CHECK(fill(disc(60.0, stretch), 400) < 0.80);  // pi / 4 and what pixels add
    }
}

TEST_CASE("straight share: half a disc at the border is no cell", "[measure]") {
    const Component half = shape(400, 400, [](int x, int y) { return std::hypot(x, y - 200) <= 80.0; });
    CHECK(share(half, 400, 400) < 0.80);
    const Component rectangle = shape(400, 400, [](int x, int y) { return x < 80 && y >= 100 && y < 160; });
    CHECK(share(rectangle, 400, 400) > 0.99);
}

TEST_CASE("hull: of points, whatever their order", "[measure]") {
    using V = Eigen::Vector2d;
    const auto hull = convex_hull({V(0, 0), V(2, 2), V(4, 0), V(4, 4), V(0, 4), V(2, 0), V(1, 3)});
    CHECK(hull.size() == 4);
    CHECK_THAT(polygon_area(hull), WithinAbs(16.0, 1e-12));
    CHECK(convex_hull({V(0, 0), V(1, 1), V(2, 2)}).size() == 2);
    CHECK(convex_hull({V(1, 1), V(1, 1)}).size() == 1);
    CHECK(convex_hull({}).empty());
}

TEST_CASE("enclosing quadrilateral: exact for one, and encloses whatever is given", "[measure]") {
    using V = Eigen::Vector2d;
    const std::vector<V> corners{V(1, 2), V(20, 4), V(25, 18), V(-3, 15)};
    std::vector<V> points = corners;
    for (int i = 1; i < 10; ++i) {
        for (std::size_t k = 0; k < 4; ++k) {
            points.emplace_back(corners[k] + (corners[(k + 1) % 4] - corners[k]) * (0.1 * i));
        }
    }
    CHECK_THAT(polygon_area(enclosing_quadrilateral(points)), WithinAbs(polygon_area(corners), 1e-6));
    std::vector<V> circle;
    for (int i = 0; i < 60; ++i) {
        circle.emplace_back(10.0 * std::cos(i * std::numbers::pi / 30.0), 10.0 * std::sin(i * std::numbers::pi / 30.0));
    }
    const auto around = enclosing_quadrilateral(circle);
    REQUIRE(around.size() == 4);
    for (const V& p : circle) {
        for (std::size_t k = 0; k < 4; ++k) {
            const V a = around[k];
            const V side = around[(k + 1) % 4] - a;
            CHECK(side.x() * (p - a).y() - side.y() * (p - a).x() >= -1e-9);
        }
    }
    CHECK(polygon_area(around) >= 399.0);  // the least one around a circle is its square
    CHECK(polygon_area(around) < 450.0);
}

TEST_CASE("smoothing: keeps a plane, spreads a spike, leaves holes out", "[measure]") {
    Image<float> image(40, 30, 5.0F);
    const auto constant = smooth(static_cast<const Image<float>&>(image).view(), 2.0);
    for (const float value : constant.pixels()) {
        CHECK(std::abs(value - 5.0F) < 1e-5F);
    }
    image.view()(20, 15) = std::nanf("");
    image.view()(10, 10) = 5.0F + 100.0F;
    const auto result = smooth(static_cast<const Image<float>&>(image).view(), 2.0);
    CHECK(std::isnan(result.view()(20, 15)));
    CHECK(std::abs(result.view()(21, 15) - 5.0F) < 0.1F);
    // 100 / (2 pi sigma^2) at the peak
    CHECK_THAT(static_cast<double>(result.view()(10, 10)), WithinAbs(5.0 + 100.0 / (8.0 * std::numbers::pi), 0.1));
}
