#include "heatrow/edges/quad.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

using namespace heatrow;
using Catch::Matchers::WithinAbs;
using Eigen::Vector2d;

namespace {

std::array<Vector2d, 4> rectangle(const Vector2d& centre, double width, double height, double angle_deg) {
    const double angle = angle_deg * std::numbers::pi / 180.0;
    const Vector2d u = 0.5 * width * Vector2d(std::cos(angle), std::sin(angle));
    const Vector2d v = 0.5 * height * Vector2d(-std::sin(angle), std::cos(angle));
    return {centre - u - v, centre + u - v, centre + u + v, centre - u + v};
}

double area(const Quad& quad) {
    double sum = 0.0;
    for (int y = 0; y < 30; ++y) {
        for (int x = 0; x < 30; ++x) {
            sum += quad.coverage(x, y);
        }
    }
    return sum;
}

}  // namespace

TEST_CASE("quad: coverage is exact along the pixel grid", "[edges]") {
    const Quad quad(rectangle({10.3, 12.1}, 4.6, 3.4, 0.0));  // x 8.0 to 12.6, y 10.4 to 13.8
    CHECK_THAT(quad.coverage(8, 12), WithinAbs(0.5, 1e-12));
    CHECK_THAT(quad.coverage(13, 12), WithinAbs(0.1, 1e-12));
    CHECK_THAT(quad.coverage(10, 10), WithinAbs(0.1, 1e-12));
    CHECK_THAT(quad.coverage(8, 10), WithinAbs(0.05, 1e-12));
    CHECK_THAT(quad.coverage(14, 12), WithinAbs(0.0, 1e-12));
    CHECK_THAT(area(quad), WithinAbs(4.6 * 3.4, 1e-9));
}

TEST_CASE("quad: coverage keeps the area at any angle, to 3 % of a cell of 5 px", "[edges]") {
    for (double angle = 0.0; angle < 90.0; angle += 7.0) {
        for (double phase = 0.0; phase < 1.0; phase += 0.23) {
            const Quad quad(rectangle({12.0 + phase, 14.0 - 0.5 * phase}, 5.0, 5.0, angle));
            CHECK_THAT(area(quad), WithinAbs(25.0, 0.75));
        }
    }
}

TEST_CASE("quad: corners may go round either way, and squares inside are told", "[edges]") {
    auto corners = rectangle({12.0, 12.0}, 5.0, 5.0, 20.0);
    const Quad one(corners);
    std::swap(corners[1], corners[3]);
    const Quad other(corners);
    CHECK_THAT(one.coverage(10, 11), WithinAbs(other.coverage(10, 11), 1e-12));
    CHECK(one.holds_square(12.0, 12.0, 1.5));
    CHECK_FALSE(one.holds_square(13.5, 12.0, 1.5));
}
