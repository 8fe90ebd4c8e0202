#include "elevation_model.hpp"

#include "gdal_guard.hpp"
#include "heatrow/core/error.hpp"

#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include <array>
#include <cmath>
#include <string>

namespace heatrow::detail {
namespace {

constexpr const char* kElevationDrivers[] = {"GTiff", "AAIGrid", nullptr};

[[noreturn]] void fail(const std::filesystem::path& file, const std::string& why, const std::string& remedy) {
    throw Error(ErrorKind::input, "cannot read the elevation model", file.string(), why, remedy);
}

}  // namespace

struct ElevationModel::Raster {
    GDALDatasetUniquePtr dataset;
    std::array<double, 6> pixel_from_map{};
    std::unique_ptr<OGRCoordinateTransformation> map_from_degrees;
    double nodata = kNaN;
};

ElevationModel::ElevationModel(const std::filesystem::path& file) : raster_(std::make_unique<Raster>()) {
    const GdalGuard gdal;
    Raster& raster = *raster_;
    if (!std::filesystem::exists(file)) {
        fail(file, "no such file", "Correct site.elevation in survey.toml");
    }
    raster.dataset.reset(
        GDALDataset::Open(file.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY, kElevationDrivers, nullptr, nullptr));
    if (!raster.dataset || raster.dataset->GetRasterCount() != 1) {
        fail(file,
             raster.dataset ? "it has several bands" : "it is no raster that can be read: " + gdal.last_error(),
             "Give a GeoTIFF or an ASCII grid with one band of heights in metres");
    }
    std::array<double, 6> map_from_pixel{};
    if (raster.dataset->GetGeoTransform(map_from_pixel.data()) != CE_None ||
        GDALInvGeoTransform(map_from_pixel.data(), raster.pixel_from_map.data()) == 0) {
        fail(file, "it does not say where on earth it lies", "Export it with its georeference");
    }
    const OGRSpatialReference* crs = raster.dataset->GetSpatialRef();
    if (crs == nullptr) {
        fail(file,
             "it has no coordinate reference system",
             "Export it with its CRS (for an ASCII grid, a .prj beside it)");
    }
    OGRSpatialReference degrees;
    degrees.importFromEPSG(4326);
    degrees.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    OGRSpatialReference map(*crs);
    map.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    raster.map_from_degrees.reset(OGRCreateCoordinateTransformation(&degrees, &map));
    if (!raster.map_from_degrees) {
        fail(file, "its coordinate reference system cannot be related to WGS 84", "Export it in another CRS");
    }
    int has_nodata = 0;
    const double nodata = raster.dataset->GetRasterBand(1)->GetNoDataValue(&has_nodata);
    raster.nodata = has_nodata != 0 ? nodata : kNaN;
}

ElevationModel::~ElevationModel() = default;

Metres ElevationModel::at(double longitude_deg, double latitude_deg) const {
    const GdalGuard gdal;
    Raster& raster = *raster_;
    double x = longitude_deg;
    double y = latitude_deg;
    if (raster.map_from_degrees->Transform(1, &x, &y) == 0) {
        return Metres(kNaN);
    }
    double column = 0.0;
    double row = 0.0;
    GDALApplyGeoTransform(raster.pixel_from_map.data(), x, y, &column, &row);
    column -= 0.5;  // values stand for the middles of pixels
    row -= 0.5;
    const double left = std::floor(column);
    const double top = std::floor(row);
    if (!(left >= 0.0 && top >= 0.0 && left + 1.0 < raster.dataset->GetRasterXSize() &&
          top + 1.0 < raster.dataset->GetRasterYSize())) {
        return Metres(kNaN);
    }
    std::array<double, 4> heights{};
    if (raster.dataset->GetRasterBand(1)->RasterIO(
            GF_Read, static_cast<int>(left), static_cast<int>(top), 2, 2, heights.data(), 2, 2, GDT_Float64, 0, 0) !=
        CE_None) {
        return Metres(kNaN);
    }
    for (double& height : heights) {
        height = height == raster.nodata ? kNaN : height;
    }
    const double u = column - left;
    const double v = row - top;
    return Metres((1.0 - v) * ((1.0 - u) * heights[0] + u * heights[1]) +
                  v * ((1.0 - u) * heights[2] + u * heights[3]));
}

}  // namespace heatrow::detail
