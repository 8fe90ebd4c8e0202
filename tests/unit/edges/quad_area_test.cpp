// Shares of pixels in a four-sided area against GEOS through GDAL's geometry classes.
#include "heatrow/edges/quad.hpp"

#include <catch2/catch.hpp>
#include <ogr_geometry.h>

#include <array>
#include <cmath>
#include <memory>
#include <numbers>

using namespace heatrow;
using Eigen::Vector2d;

namespace {

OGRPolygon polygon_of(const std::array<Vector2d, 4>& corners) {
    OGRLinearRing ring;
    for (const Vector2d& corner : corners) {
        ring.addPoint(corner.x(), corner.y());
    }
    ring.closeRings();
    OGRPolygon polygon;
    polygon.addRing(&ring);
    return polygon;
}

double common_area(const OGRPolygon& polygon, double x, double y) {
    const OGRPolygon pixel =
        polygon_of({Vector2d{x - 0.5, y - 0.5}, {x + 0.5, y - 0.5}, {x + 0.5, y + 0.5}, {x - 0.5, y + 0.5}});
    const std::unique_ptr<OGRGeometry> common(polygon.Intersection(&pixel));
    const auto* area = dynamic_cast<const OGRPolygon*>(common.get());
    return area != nullptr ? area->get_Area() : 0.0;
}

}  // namespace

TEST_CASE("quad: pixel shares of oblique cells against GEOS", "[edges]") {
    // 5 x 5 px cells and larger ones, turned and seen obliquely
    for (const double size : {5.0, 9.0}) {
        for (const double turn_deg : {0.0, 7.0, 23.0, 45.0}) {
            const double turn = turn_deg * std::numbers::pi / 180.0;
            const Vector2d u(std::cos(turn), std::sin(turn));
            const Vector2d v(-0.9 * std::sin(turn + 0.1), 0.9 * std::cos(turn + 0.1));
            const Vector2d corner(12.3, 11.6);
            const std::array<Vector2d, 4> corners{
                corner, corner + size * u, corner + size * (u + v), corner + size * v};
            const Quad quad(corners);
            const OGRPolygon polygon = polygon_of(corners);
            double sum = 0.0;
            double worst = 0.0;
            double worst_at_side = 0.0;
            for (int y = 0; y < 40; ++y) {
                for (int x = 0; x < 40; ++x) {
                    const double share = quad.coverage(x, y);
                    const double exact = common_area(polygon, x, y);
                    sum += share;
                    bool near_corner = false;
                    for (const Vector2d& c : corners) {
                        near_corner = near_corner || (c - Vector2d(x, y)).lpNorm<Eigen::Infinity>() < 1.2;
                    }
                    worst = std::max(worst, std::abs(share - exact));
                    if (!near_corner) {
                        worst_at_side = std::max(worst_at_side, std::abs(share - exact));
                    }
                }
            }
            INFO("size " << size << " px, turned " << turn_deg << " deg");
            CHECK(std::abs(sum - polygon.get_Area()) < 0.02 * polygon.get_Area());
            CHECK(worst_at_side < 0.13);
            CHECK(worst < 0.30);
        }
    }
}
