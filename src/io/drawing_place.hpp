// Where a drawing lies: its coordinates in the site frame.
#pragma once

#include "heatrow/io/layout_import.hpp"
#include "heatrow/io/site_projection.hpp"

#include <ogr_spatialref.h>

#include <memory>
#include <optional>

namespace heatrow::detail {

class DrawingPlace {
  public:
    // The origin is the middle of the points the drawing is fitted to, else of the drawing. Throws Error(usage) for a
    // CRS that is none, for points that do not fit, and where nothing says where the drawing lies.
    DrawingPlace(const Drawing& drawing, const ImportOptions& options);

    // Throws Error(input) naming the entity where the point has no place on earth.
    [[nodiscard]] Eigen::Vector2d to_site(const Eigen::Vector2d& in_drawing, const std::string& entity) const;
    [[nodiscard]] const SiteOrigin& origin() const { return projection_->origin(); }
    [[nodiscard]] const std::optional<DrawingFit>& fit() const { return fit_; }

  private:
    // Longitude and latitude.
    [[nodiscard]] Eigen::Vector2d to_geographic(const Eigen::Vector2d& point, const std::string& entity) const;
    void fit_points(const std::vector<PointPair>& points);
    void require_unit(const std::optional<double>& unit_m) const;

    std::string name_;
    std::unique_ptr<OGRCoordinateTransformation, decltype(&OGRCoordinateTransformation::DestroyCT)> transformation_;
    std::optional<SiteProjection> projection_;
    std::optional<DrawingFit> fit_;
};

}  // namespace heatrow::detail
