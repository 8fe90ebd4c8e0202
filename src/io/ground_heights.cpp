#include "ground_heights.hpp"

#include "heatrow/io/site_projection.hpp"

#include <Eigen/Core>
#include <fmt/format.h>

#include <cmath>
#include <map>
#include <string>

namespace heatrow::detail {
namespace {

struct OnGround {
    std::size_t feature = 0;
    double along_row_m = 0.0;
    double ground_m = 0.0;  // above that of the origin
};

GeographicPoint centre_of(const LayoutFeature& feature) {
    GeographicPoint centre;
    const double share = 1.0 / static_cast<double>(feature.ring.size());
    for (const GeographicPoint& point : feature.ring) {
        centre.longitude_deg += share * point.longitude_deg;
        centre.latitude_deg += share * point.latitude_deg;
    }
    return centre;
}

Metres height_at(const ElevationModel& ground,
                 const GeographicPoint& place,
                 const std::filesystem::path& layout_file,
                 const std::string& what) {
    const Metres height = ground.at(place.longitude_deg, place.latitude_deg);
    if (!std::isfinite(height.value())) {
        fail_layout(layout_file,
                    what,
                    fmt::format("the elevation model has no height at longitude {:.7f}, latitude {:.7f}",
                                place.longitude_deg,
                                place.latitude_deg),
                    "Give a model that covers the whole site, or leave site.elevation out");
    }
    return height;
}

// Least squares through the modules of a table; the mean where they lie at one place along it.
void fit_line(std::vector<OnGround>& modules) {
    double s = 0.0;
    double z = 0.0;
    const double share = 1.0 / static_cast<double>(modules.size());
    for (const OnGround& module : modules) {
        s += share * module.along_row_m;
        z += share * module.ground_m;
    }
    double ss = 0.0;
    double sz = 0.0;
    for (const OnGround& module : modules) {
        ss += (module.along_row_m - s) * (module.along_row_m - s);
        sz += (module.along_row_m - s) * (module.ground_m - z);
    }
    constexpr double kOnePlace = 0.01;  // m2
    const double rise = ss > kOnePlace ? sz / ss : 0.0;
    for (OnGround& module : modules) {
        module.ground_m = z + rise * (module.along_row_m - s);
    }
}

}  // namespace

void add_ground(std::vector<LayoutFeature>& features,
                const ElevationModel& ground,
                const SiteOrigin& origin,
                const std::filesystem::path& layout_file) {
    const SiteProjection projection(origin);
    const Metres at_origin =
        height_at(ground, {origin.longitude_deg, origin.latitude_deg}, layout_file, "the site origin");
    std::map<std::string, std::vector<OnGround>> by_table;
    for (std::size_t i = 0; i < features.size(); ++i) {
        const LayoutFeature& feature = features[i];
        if (feature.ring.empty()) {
            continue;  // refused later, with its reason
        }
        const GeographicPoint centre = centre_of(feature);
        const Metres height = height_at(ground, centre, layout_file, fmt::format("module \"{}\"", feature.module));
        const Eigen::Vector3d in_site = projection.to_site(centre.longitude_deg, centre.latitude_deg, origin.height);
        const double azimuth = degrees(feature.azimuth_deg).value();
        const Eigen::Vector2d row(std::cos(azimuth), -std::sin(azimuth));
        const std::string table = feature.table.empty() ? "module " + feature.module : "table " + feature.table;
        by_table[table].push_back({i, row.dot(in_site.head<2>()), (height - at_origin).value()});
    }
    for (auto& [table, modules] : by_table) {
        fit_line(modules);
        for (const OnGround& module : modules) {
            LayoutFeature& feature = features[module.feature];
            feature.height = feature.height + Metres(module.ground_m);
        }
    }
}

}  // namespace heatrow::detail
