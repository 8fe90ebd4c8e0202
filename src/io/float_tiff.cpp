#include "heatrow/io/float_tiff.hpp"

#include "gdal_guard.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/units.hpp"

#include <gdal_priv.h>

#include <vector>

namespace heatrow {
namespace {

[[noreturn]] void fail(const std::string& why) {
    throw Error(ErrorKind::output, "cannot make a TIFF", {}, why.empty() ? "GDAL gives no reason" : why, "");
}

}  // namespace

std::string encode_float_tiff(ImageView<const float> map) {
    const detail::GdalGuard gdal;
    const detail::GdalMemoryTarget target;
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GTiff");
    if (driver == nullptr) {
        fail("this GDAL has no TIFF driver");
    }
    const char* const options[] = {"COMPRESS=DEFLATE", "PREDICTOR=3", nullptr};
    GDALDatasetUniquePtr dataset(
        driver->Create(target.path(), map.width(), map.height(), 1, GDT_Float32, const_cast<char**>(options)));
    if (dataset == nullptr) {
        fail(gdal.last_error());
    }
    GDALRasterBand& band = *dataset->GetRasterBand(1);
    band.SetNoDataValue(kNaN);
    for (int y = 0; y < map.height(); ++y) {
        std::vector<float> row(map.row(y), map.row(y) + map.width());
        if (band.RasterIO(GF_Write, 0, y, map.width(), 1, row.data(), map.width(), 1, GDT_Float32, 0, 0) != CE_None) {
            fail(gdal.last_error());
        }
    }
    dataset.reset();  // what the last flush says counts too
    if (!gdal.last_error().empty()) {
        fail(gdal.last_error());
    }
    return target.bytes();
}

}  // namespace heatrow
