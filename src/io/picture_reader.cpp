#include "heatrow/io/picture_reader.hpp"

#include "gdal_guard.hpp"
#include "heatrow/io/frame_reader.hpp"
#include "strict_tiff.hpp"

#include <fmt/format.h>
#include <gdal_priv.h>

#include <algorithm>

namespace heatrow {
namespace {

constexpr int kColours = 3;

// Palette entries become the grey of their colours.
void look_up(const GDALColorTable& table, std::vector<float>& values) {
    for (float& value : values) {
        const GDALColorEntry* entry = table.GetColorEntry(static_cast<int>(value));
        value = entry == nullptr ? 0.0F : static_cast<float>(entry->c1 + entry->c2 + entry->c3) / kColours;
    }
}

tl::expected<GreyPicture, Rejection> read_8_bit(std::span<const std::uint8_t> bytes, const std::string& name) {
    const auto unreadable = [&](const std::string& why) {
        return tl::unexpected(Rejection{RejectReason::unreadable, fmt::format("{}: {}", name, why)});
    };
    const detail::GdalGuard gdal;
    const detail::GdalMemoryFile file(bytes);
    const GDALDatasetUniquePtr dataset(
        GDALDataset::Open(file.path(), GDAL_OF_RASTER, detail::kPictureDrivers, nullptr, nullptr));
    if (dataset == nullptr || dataset->GetRasterCount() < 1) {
        return unreadable(gdal.last_error().empty() ? "it is of no known picture kind" : gdal.last_error());
    }
    const int width = dataset->GetRasterXSize();
    const int height = dataset->GetRasterYSize();
    if (std::uint64_t(width) * std::uint64_t(height) > detail::kMostPixels) {
        return unreadable(fmt::format("{} x {} pixels are more than any frame has", width, height));
    }
    GreyPicture picture{Image<float>(width, height), true};
    const int bands = dataset->GetRasterCount() >= kColours ? kColours : 1;
    std::vector<float> values(picture.grey.pixels().size());
    for (int i = 1; i <= bands; ++i) {
        GDALRasterBand& band = *dataset->GetRasterBand(i);
        if (band.RasterIO(GF_Read, 0, 0, width, height, values.data(), width, height, GDT_Float32, 0, 0) != CE_None ||
            !gdal.last_error().empty()) {
            return unreadable(gdal.last_error());
        }
        if (const GDALColorTable* table = band.GetColorTable(); table != nullptr) {
            look_up(*table, values);
        }
        std::transform(values.begin(),
                       values.end(),
                       picture.grey.pixels().begin(),
                       picture.grey.pixels().begin(),
                       [&](float value, float sum) { return sum + value / static_cast<float>(bands); });
    }
    return picture;
}

}  // namespace

tl::expected<GreyPicture, Rejection> read_picture(const std::filesystem::path& file) {
    const std::string name = file.filename().string();
    const auto bytes = read_file_bytes(file);
    if (!bytes) {
        return tl::unexpected(bytes.error());
    }
    auto frame = decode_frame(*bytes, name);
    if (frame) {
        return GreyPicture{std::move(frame->counts), false};
    }
    if (frame.error().reason != RejectReason::not_radiometric) {
        return tl::unexpected(frame.error());
    }
    return read_8_bit(*bytes, name);
}

}  // namespace heatrow
