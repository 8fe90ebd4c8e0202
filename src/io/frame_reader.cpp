#include "heatrow/io/frame_reader.hpp"

#include "gdal_guard.hpp"
#include "matrix_reader.hpp"
#include "strict_tiff.hpp"

#include <fmt/format.h>
#include <gdal_priv.h>

#include <cerrno>
#include <cstring>
#include <fstream>

namespace heatrow {
namespace {

using FrameOrRejection = tl::expected<FrameCounts, Rejection>;

tl::unexpected<Rejection> unreadable(std::string why) {
    return tl::unexpected(Rejection{RejectReason::unreadable, std::move(why)});
}

// window: absent, all of it.
FrameOrRejection read_band(GDALDataset& dataset,
                           const detail::GdalGuard& gdal,
                           const std::optional<RasterWindow>& window = std::nullopt) {
    const std::string driver = dataset.GetDriver()->GetDescription();
    if (dataset.GetRasterCount() != 1) {
        return tl::unexpected(
            detail::not_radiometric(fmt::format("a {} picture of {} bands", driver, dataset.GetRasterCount())));
    }
    GDALRasterBand& band = *dataset.GetRasterBand(1);
    const GDALDataType type = band.GetRasterDataType();
    if (GDALGetDataTypeSizeBits(type) <= 8 || band.GetColorTable() != nullptr) {
        return tl::unexpected(detail::not_radiometric(fmt::format("an 8-bit {} picture", driver)));
    }
    if (GDALDataTypeIsComplex(type) != 0) {
        return unreadable("its pixels are complex numbers");
    }
    const auto [left, top, width, height] =
        window.value_or(RasterWindow{0, 0, dataset.GetRasterXSize(), dataset.GetRasterYSize()});
    if (std::uint64_t(width) * std::uint64_t(height) > detail::kMostPixels) {
        return unreadable(fmt::format("{} x {} pixels are more than any frame has", width, height));
    }
    FrameCounts frame;
    frame.counts = Image<float>(width, height);
    if (band.RasterIO(
            GF_Read, left, top, width, height, frame.counts.pixels().data(), width, height, GDT_Float32, 0, 0) !=
            CE_None ||
        !gdal.last_error().empty()) {
        return unreadable(gdal.last_error());
    }
    frame.bits = GDALGetDataTypeSizeBits(type);
    frame.is_float = GDALDataTypeIsFloating(type) != 0;
    frame.is_signed = GDALDataTypeIsSigned(type) != 0;
    const char* compression = dataset.GetMetadataItem("COMPRESSION", "IMAGE_STRUCTURE");
    frame.kind = fmt::format("{}, {}{}",
                             driver == "GTiff" ? "TIFF" : driver,
                             GDALGetDataTypeName(type),
                             compression != nullptr ? fmt::format(", {}", compression) : "");
    return frame;
}

FrameOrRejection read_with_gdal(std::span<const std::uint8_t> bytes) {
    const detail::GdalGuard gdal;
    const detail::GdalMemoryFile file(bytes);
    const GDALDatasetUniquePtr dataset(
        GDALDataset::Open(file.path(), GDAL_OF_RASTER, detail::kPictureDrivers, nullptr, nullptr));
    if (dataset == nullptr) {
        const std::string reason = gdal.last_error();
        return unreadable(reason.empty() ? "it is of no known picture kind" : reason);
    }
    return read_band(*dataset, gdal);
}

// The file named in front of the reason.
FrameOrRejection with_name(FrameOrRejection result, const std::string& name) {
    if (!result) {
        result.error().detail = fmt::format("{}: {}", name, result.error().detail);
    }
    return result;
}

FrameOrRejection decode(std::span<const std::uint8_t> bytes, const std::string& name) {
    if (bytes.empty()) {
        return unreadable("the file is empty");
    }
    if (detail::is_classic_tiff(bytes)) {
        auto strict = detail::read_strict_tiff(bytes);
        if (!strict) {
            return tl::unexpected(strict.error());
        }
        return *strict ? FrameOrRejection(std::move(**strict)) : read_with_gdal(bytes);
    }
    return detail::looks_like_text(bytes) ? detail::read_matrix(bytes, name) : read_with_gdal(bytes);
}

}  // namespace

tl::expected<std::vector<std::uint8_t>, Rejection> read_file_bytes(const std::filesystem::path& file) {
    const std::string name = file.filename().string();
    std::error_code failed;
    const auto size = std::filesystem::file_size(file, failed);
    std::ifstream stream(file, std::ios::binary);
    if (failed || !stream) {
        return unreadable(
            fmt::format("{}: it cannot be opened ({})", name, failed ? failed.message() : std::strerror(errno)));
    }
    std::vector<std::uint8_t> bytes(static_cast<std::size_t>(size));
    stream.read(reinterpret_cast<char*>(bytes.data()), static_cast<std::streamsize>(bytes.size()));
    if (stream.gcount() != static_cast<std::streamsize>(bytes.size())) {
        return unreadable(fmt::format("{}: {} of {} bytes could be read", name, stream.gcount(), size));
    }
    return bytes;
}

tl::expected<FrameCounts, Rejection> decode_frame(std::span<const std::uint8_t> bytes, const std::string& name) {
    return with_name(decode(bytes, name), name);
}

tl::expected<FrameCounts, Rejection> read_frame(const std::filesystem::path& file) {
    return read_file_bytes(file).and_then(
        [&](const std::vector<std::uint8_t>& bytes) { return decode_frame(bytes, file.filename().string()); });
}

tl::expected<FrameCounts, Rejection> read_frame_window(const std::filesystem::path& file, const RasterWindow& window) {
    const detail::GdalGuard gdal;
    const GDALDatasetUniquePtr dataset(
        GDALDataset::Open(file.c_str(), GDAL_OF_RASTER, detail::kPictureDrivers, nullptr, nullptr));
    const std::string name = file.filename().string();
    return dataset == nullptr ? with_name(unreadable(gdal.why("it cannot be opened")), name)
                              : with_name(read_band(*dataset, gdal, window), name);
}

}  // namespace heatrow
