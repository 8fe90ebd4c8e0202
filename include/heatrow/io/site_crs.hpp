// Coordinates in whatever reference system a file is in, to site metres.
#pragma once

#include "heatrow/io/site_projection.hpp"
#include "heatrow/site/layout.hpp"

#include <Eigen/Core>

#include <memory>
#include <optional>
#include <string>
#include <string_view>

namespace heatrow {

// Not to be used by two threads at once.
class SiteCrs {
  public:
    // definition: any CRS that PROJ knows; absent: WGS 84 degrees. what_failed and setting (e.g. "poses.crs") are for
    // messages. `projection` must outlive it. Throws Error(usage) for a CRS that PROJ does not know.
    SiteCrs(std::optional<std::string> definition,
            const SiteProjection& projection,
            std::string what_failed,
            std::string setting);
    SiteCrs(const SiteCrs&) = delete;
    SiteCrs& operator=(const SiteCrs&) = delete;
    ~SiteCrs();

    // x: easting in units of the CRS, or longitude in degrees; y: northing or latitude. Throws Error(input) naming
    // `where` for a place outside the CRS.
    [[nodiscard]] Eigen::Vector3d to_site(double x, double y, Metres above_ellipsoid, std::string_view where) const;

    [[nodiscard]] bool is_degrees() const { return transform_ == nullptr; }
    // What x and y are called.
    [[nodiscard]] std::string_view x_name() const { return is_degrees() ? "longitude" : "easting"; }
    [[nodiscard]] std::string_view y_name() const { return is_degrees() ? "latitude" : "northing"; }
    [[nodiscard]] const SiteProjection& projection() const { return *projection_; }

  private:
    struct Transform;
    std::optional<std::string> definition_;
    const SiteProjection* projection_;
    std::string what_failed_;
    std::string setting_;
    std::unique_ptr<Transform> transform_;  // absent: degrees
};

// Farther from the modules than that, coordinates are those of another place (own choice: large plants span
// kilometres).
inline constexpr double kFarthestFromLayout_m = 5000.0;
// From the nearest point of the modules' bounding box, m.
double distance_from_layout(const Layout& layout, const Eigen::Vector2d& place_in_site);
// Whether a written place lies near the layout if its two coordinates change places.
bool is_near_if_swapped(const SiteCrs& crs, double x, double y, const Layout& layout);

}  // namespace heatrow
