// Geographic degrees to site metres and back (docs/conventions.md).
#pragma once

#include "heatrow/core/units.hpp"
#include "heatrow/site/layout.hpp"

#include <Eigen/Core>

#include <memory>

namespace heatrow {

// Azimuthal equidistant on the WGS 84 ellipsoid, centred at the site origin; up is height minus the origin's height.
// Not to be used by two threads at once; objects are independent of each other.
class SiteProjection {
  public:
    // Throws Error(usage) if the origin is not a place on earth.
    explicit SiteProjection(const SiteOrigin& origin);
    SiteProjection(SiteProjection&&) noexcept;
    SiteProjection& operator=(SiteProjection&&) noexcept;
    ~SiteProjection();

    // East, north, up in m. `height` above the ellipsoid. Throws Error(input) for a place that cannot be projected.
    [[nodiscard]] Eigen::Vector3d to_site(double longitude_deg, double latitude_deg, Metres height) const;

    struct Geographic {
        double longitude_deg = 0.0;
        double latitude_deg = 0.0;
        Metres height{0.0};
    };
    [[nodiscard]] Geographic to_geographic(const Eigen::Vector3d& point_in_site) const;

    [[nodiscard]] const SiteOrigin& origin() const { return origin_; }

  private:
    struct Transform;
    std::unique_ptr<Transform> transform_;
    SiteOrigin origin_;
};

}  // namespace heatrow
