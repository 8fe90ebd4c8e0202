// The layout out of survey.gpkg.
#pragma once

#include "heatrow/io/site_projection.hpp"
#include "heatrow/site/layout.hpp"

#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include <filesystem>
#include <memory>
#include <vector>

namespace heatrow::detail {

// Points of the map in the site frame: the way back from MapPoints.
class SitePoints {
  public:
    // map: the coordinate system of the file's layers.
    SitePoints(const SiteProjection& projection, const OGRSpatialReference& map, const std::filesystem::path& file);

    // The corners of an unclosed ring; nothing where the geometry is no polygon. A point without a height lies on the
    // ground (site up zero).
    [[nodiscard]] std::vector<Eigen::Vector3d> corners(const OGRGeometry* polygon) const;
    // Unknown where the geometry is no point.
    [[nodiscard]] Eigen::Vector3d point(const OGRGeometry* point) const;

  private:
    [[nodiscard]] Eigen::Vector3d in_site(double x, double y, Metres height) const;

    const SiteProjection& projection_;
    const std::filesystem::path& file_;
    std::unique_ptr<OGRCoordinateTransformation> transformation_;
};

// Types, modules, strings and tables; the origin is the projection's.
Layout read_layout_tables(GDALDataset& dataset,
                          const SiteProjection& projection,
                          const SitePoints& points,
                          const std::filesystem::path& file);

}  // namespace heatrow::detail
