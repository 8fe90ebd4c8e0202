// The record as rows of survey.gpkg.
#pragma once

#include "heatrow/io/site_projection.hpp"
#include "heatrow/record/survey_record.hpp"
#include "survey_gpkg_attributes.hpp"

#include <Eigen/Core>
#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

namespace heatrow::detail {

// Points of the site frame in the map's coordinate system, as geometries.
class MapPoints {
  public:
    MapPoints(const SiteProjection& projection,
              const OGRSpatialReference& geographic,
              const OGRSpatialReference& projected,
              const std::filesystem::path& file);

    [[nodiscard]] OGRPoint at(const Eigen::Vector3d& point_in_site) const;  // x, y and height in m
    // A closed ring, with heights or without.
    [[nodiscard]] std::unique_ptr<OGRGeometry> polygon(const std::vector<Eigen::Vector3d>& corners, bool is_3d) const;

  private:
    const SiteProjection& projection_;
    const std::filesystem::path& file_;
    std::unique_ptr<OGRCoordinateTransformation> transformation_;
};

// The key by which the map colours a module.
std::string module_state(const ModuleResult& result);

// Writes every table of survey.gpkg and says how many rows each got.
std::vector<TableCount> write_tables(GDALDataset& dataset,
                                     const SurveyRecord& record,
                                     const SiteProjection& projection,
                                     const MapPoints& points,
                                     const OGRSpatialReference& reference,
                                     const std::filesystem::path& file);

}  // namespace heatrow::detail
