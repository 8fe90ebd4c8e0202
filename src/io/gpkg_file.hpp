// A GeoPackage of layers about one site, written whole: projected layers, stored styles, one transaction, checked
// after.
#pragma once

#include "gpkg_table.hpp"
#include "heatrow/core/time.hpp"
#include "heatrow/io/site_projection.hpp"

#include <Eigen/Core>
#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include <filesystem>
#include <functional>
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

struct TableCount {
    std::string table;
    long long rows = 0;
};

// How a GIS shows a layer when it is opened.
struct LayerStyle {
    const GpkgSchema& schema;
    std::string qml;  // gis_style
};

// Writes every table and says how many rows each got.
using TableWriters = std::function<std::vector<TableCount>(GDALDataset&, const MapPoints&, const OGRSpatialReference&)>;

// `time` is the one that the file carries in place of the clock's, so that a run can be repeated to the byte. Throws
// Error(output) where the file exists, cannot be written, or does not hold afterwards what was put in.
void write_gpkg_file(const std::filesystem::path& path,
                     const SiteProjection& projection,
                     UtcTime time,
                     const std::vector<LayerStyle>& styles,
                     const TableWriters& write_tables);

}  // namespace heatrow::detail
