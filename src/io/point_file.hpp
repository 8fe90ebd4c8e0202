// A vector file of points that a phone or an earth viewer opens, through GDAL.
#pragma once

#include "gdal_guard.hpp"

#include <filesystem>
#include <gdal_priv.h>
#include <memory>
#include <ogr_spatialref.h>
#include <string>
#include <utility>
#include <vector>

namespace heatrow::detail {

class PointFile {
  public:
    // driver: a vector driver of GDAL that writes. options: of the dataset, "NAME=VALUE". Throws Error(output).
    PointFile(const char* driver, std::filesystem::path file, const std::vector<std::string>& options);
    ~PointFile();

    // Layers in the order in which they are to stand in the file; fields are text.
    void begin_layer(const std::string& name, OGRwkbGeometryType geometry, const std::vector<std::string>& fields);
    // Into the layer begun last. Empty values are left out.
    void add(std::unique_ptr<OGRGeometry> geometry, const std::vector<std::pair<std::string, std::string>>& values);
    // Writes what is left; throws Error(output) where that fails. Without it the file is not to be used.
    void close();

  private:
    [[noreturn]] void fail(const std::string& what) const;

    GdalGuard guard_;
    std::filesystem::path file_;
    OGRSpatialReference reference_;
    GDALDatasetUniquePtr dataset_;
    OGRLayer* layer_ = nullptr;
};

}  // namespace heatrow::detail
