#include "heatrow/io/site_projection.hpp"

#include "support/check_error.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;

TEST_CASE("site projection: degrees to metres and back is the identity") {
    const SiteProjection projection({-3.6512, 40.1234, Metres(650.0)});
    for (const double east : {-2000.0, 0.0, 730.5}) {
        for (const double north : {-1500.0, 0.0, 2210.25}) {
            const auto place = projection.to_geographic({east, north, 12.5});
            CHECK(place.height.value() == Approx(662.5));
            const auto back = projection.to_site(place.longitude_deg, place.latitude_deg, place.height);
            CHECK(back.x() == Approx(east).margin(1e-6));
            CHECK(back.y() == Approx(north).margin(1e-6));
            CHECK(back.z() == Approx(12.5).margin(1e-9));
        }
    }
}

TEST_CASE("site projection: near the origin a degree is as long as the ellipsoid's radii of curvature say") {
    // WGS 84 (NIMA TR8350.2): a = 6378137 m, e2 = 6.69437999014e-3; M and N at 40 deg.
    const double phi = 40.0 * 3.14159265358979323846 / 180.0;
    const double e2 = 6.69437999014e-3;
    const double w = std::sqrt(1.0 - e2 * std::sin(phi) * std::sin(phi));
    const double meridian = 6378137.0 * (1.0 - e2) / (w * w * w);
    const double across = 6378137.0 / w * std::cos(phi);
    const SiteProjection projection({5.0, 40.0, Metres(0.0)});
    const double step = 1e-4;
    const double radians = step * 3.14159265358979323846 / 180.0;
    CHECK(projection.to_site(5.0, 40.0 + step, Metres(0.0)).y() == Approx(meridian * radians).epsilon(1e-6));
    CHECK(projection.to_site(5.0 + step, 40.0, Metres(0.0)).x() == Approx(across * radians).epsilon(1e-6));
}

TEST_CASE("site projection: what is no place on earth is refused with its numbers") {
    using Catch::Contains;
    CHECK_THAT(testing::message_of([] {
                   SiteProjection({0.0, 91.0, Metres(0.0)});
               }),
               Contains("usage: ") && Contains("91"));
    const SiteProjection projection({0.0, 50.0, Metres(0.0)});
    CHECK_THAT(testing::message_of([&] { (void)projection.to_site(std::nan(""), 50.0, Metres(0.0)); }),
               Contains("input: ") && Contains("nan"));
}
