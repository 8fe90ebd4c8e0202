// Ten combiner zones of a real plant, given in degrees and in site metres (SOURCES.md of the data).
#include "heatrow/io/site_projection.hpp"
#include "real_data.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <fstream>

namespace {

using Points = std::vector<Eigen::Vector2d>;

Points points_of(const char* name) {
    const auto file = heatrow::real::folder() / name;
    std::ifstream stream(file);
    INFO(file);
    REQUIRE(stream.good());
    const auto collection = nlohmann::json::parse(stream);
    Points points;
    for (const auto& feature : collection.at("features")) {
        for (const auto& point : feature.at("geometry").at("coordinates").at(0).at(0)) {
            points.emplace_back(point.at(0).get<double>(), point.at(1).get<double>());
        }
    }
    return points;
}

}  // namespace

TEST_CASE("site projection: zones of a real plant agree with their site metres within 1 mm", "[real]") {
    const Points degrees = points_of("digitized_plant.geojson");
    const Points metres = points_of("digitized_plant_meters.geojson");
    REQUIRE(degrees.size() == metres.size());
    REQUIRE(degrees.size() > 40);

    heatrow::SiteOrigin origin{degrees[0].x(), degrees[0].y(), heatrow::Metres(0.0)};
    for (const Eigen::Vector2d& point : degrees) {
        origin.longitude_deg = std::min(origin.longitude_deg, point.x());
        origin.latitude_deg = std::min(origin.latitude_deg, point.y());
    }
    const heatrow::SiteProjection projection(origin);
    double worst_m = 0.0;
    for (std::size_t i = 0; i < degrees.size(); ++i) {
        const auto in_site = projection.to_site(degrees[i].x(), degrees[i].y(), heatrow::Metres(0.0));
        worst_m = std::max(worst_m, (in_site.head<2>() - metres[i]).norm());
    }
    WARN("largest difference of " << degrees.size() << " points: " << worst_m * 1000.0 << " mm");
    CHECK(worst_m < 0.001);
}
