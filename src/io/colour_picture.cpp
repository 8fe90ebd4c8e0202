#include "heatrow/io/colour_picture.hpp"

#include "gdal_guard.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/io/frame_reader.hpp"
#include "picture_planes.hpp"

#include <gdal_priv.h>

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace heatrow {
namespace {

constexpr int kColours = 3;

std::uint8_t byte_of(float value) {
    return static_cast<std::uint8_t>(std::lround(std::clamp(value, 0.0F, 255.0F)));
}

Image<Colour> colours_of(const detail::PicturePlanes& picture) {
    Image<Colour> colours(picture.width, picture.height);
    const auto& [red, green, blue] = picture.planes;
    for (std::size_t i = 0; i < red.size(); ++i) {
        colours.pixels()[i] = picture.is_grey() ? Colour{byte_of(red[i]), byte_of(red[i]), byte_of(red[i])}
                                                : Colour{byte_of(red[i]), byte_of(green[i]), byte_of(blue[i])};
    }
    return colours;
}

[[noreturn]] void fail(const std::string& why) {
    throw Error(ErrorKind::output, "cannot make a JPEG", {}, why.empty() ? "GDAL gives no reason" : why, "");
}

GDALDriver& driver_named(const char* name) {
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName(name);
    if (driver == nullptr) {
        fail(std::string("this GDAL has no driver ") + name);
    }
    return *driver;
}

}  // namespace

tl::expected<Image<Colour>, Rejection> read_colour_picture(const std::filesystem::path& file) {
    const auto bytes = read_file_bytes(file);
    if (!bytes) {
        return tl::unexpected(bytes.error());
    }
    return detail::read_planes(*bytes, file.filename().string()).map(colours_of);
}

std::string encode_jpeg(const Image<Colour>& pixels) {
    const detail::GdalGuard gdal;
    const GDALDatasetUniquePtr memory(
        driver_named("MEM").Create("", pixels.width(), pixels.height(), kColours, GDT_Byte, nullptr));
    if (memory == nullptr) {
        fail(gdal.last_error());
    }
    auto* bytes = reinterpret_cast<std::uint8_t*>(const_cast<Colour*>(pixels.pixels().data()));
    if (memory->RasterIO(GF_Write,
                         0,
                         0,
                         pixels.width(),
                         pixels.height(),
                         bytes,
                         pixels.width(),
                         pixels.height(),
                         GDT_Byte,
                         kColours,
                         nullptr,
                         sizeof(Colour),
                         static_cast<GSpacing>(sizeof(Colour)) * pixels.width(),
                         1,
                         nullptr) != CE_None) {
        fail(gdal.last_error());
    }
    const detail::GdalMemoryTarget target;
    const char* const options[] = {"QUALITY=85", nullptr};
    GDALDatasetUniquePtr jpeg(driver_named("JPEG").CreateCopy(
        target.path(), memory.get(), FALSE, const_cast<char**>(options), nullptr, nullptr));
    if (jpeg == nullptr) {
        fail(gdal.last_error());
    }
    jpeg.reset();
    return target.bytes();
}

}  // namespace heatrow
