// Heights of the ground from a raster of elevations.
#pragma once

#include "heatrow/core/units.hpp"

#include <filesystem>
#include <memory>

namespace heatrow::detail {

// A single-band raster that GDAL reads (GeoTIFF, ASCII grid) with its CRS, metres. Not to be used by two threads at
// once.
class ElevationModel {
  public:
    // Throws Error(input) naming the file: not readable, no place on earth, no CRS.
    explicit ElevationModel(const std::filesystem::path& file);
    ~ElevationModel();
    ElevationModel(const ElevationModel&) = delete;
    ElevationModel& operator=(const ElevationModel&) = delete;

    // Between the four pixels around a place; NaN outside the raster or beside a pixel without data.
    [[nodiscard]] Metres at(double longitude_deg, double latitude_deg) const;

  private:
    struct Raster;
    std::unique_ptr<Raster> raster_;
};

}  // namespace heatrow::detail
