#include "picture_planes.hpp"

#include "gdal_guard.hpp"
#include "strict_tiff.hpp"

#include <fmt/format.h>
#include <gdal_priv.h>

namespace heatrow::detail {
namespace {

short entry_of(const GDALColorEntry& entry, std::size_t plane) {
    return plane == 0 ? entry.c1 : plane == 1 ? entry.c2 : entry.c3;
}

}  // namespace

tl::expected<PicturePlanes, Rejection> read_planes(std::span<const std::uint8_t> bytes, const std::string& name) {
    const auto unreadable = [&](const std::string& why) {
        return tl::unexpected(Rejection{RejectReason::unreadable, fmt::format("{}: {}", name, why)});
    };
    const GdalGuard gdal;
    const GdalMemoryFile file(bytes);
    const GDALDatasetUniquePtr dataset(
        GDALDataset::Open(file.path(), GDAL_OF_RASTER, kPictureDrivers, nullptr, nullptr));
    if (dataset == nullptr || dataset->GetRasterCount() < 1) {
        return unreadable(gdal.last_error().empty() ? "it is of no known picture kind" : gdal.last_error());
    }
    PicturePlanes picture;
    picture.width = dataset->GetRasterXSize();
    picture.height = dataset->GetRasterYSize();
    if (std::uint64_t(picture.width) * std::uint64_t(picture.height) > kMostPixels) {
        return unreadable(fmt::format("{} x {} pixels are more than any frame has", picture.width, picture.height));
    }
    const GDALColorTable* palette = dataset->GetRasterBand(1)->GetColorTable();
    const bool is_grey = dataset->GetRasterCount() < 3 && palette == nullptr;
    for (std::size_t plane = 0; plane < (is_grey ? 1U : 3U); ++plane) {
        auto& values = picture.planes[plane];
        values.resize(static_cast<std::size_t>(picture.width) * static_cast<std::size_t>(picture.height));
        GDALRasterBand& band = *dataset->GetRasterBand(palette == nullptr ? static_cast<int>(plane) + 1 : 1);
        if (band.RasterIO(GF_Read,
                          0,
                          0,
                          picture.width,
                          picture.height,
                          values.data(),
                          picture.width,
                          picture.height,
                          GDT_Float32,
                          0,
                          0) != CE_None ||
            !gdal.last_error().empty()) {
            return unreadable(gdal.last_error());
        }
        for (float& value : values) {
            if (palette == nullptr) {
                break;
            }
            const GDALColorEntry* entry = palette->GetColorEntry(static_cast<int>(value));
            value = entry == nullptr ? 0.0F : static_cast<float>(entry_of(*entry, plane));
        }
    }
    return picture;
}

}  // namespace heatrow::detail
