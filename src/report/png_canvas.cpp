#include "cairo_canvas.hpp"
#include "canvas.hpp"
#include "heatrow/core/error.hpp"

#include <libdeflate.h>
#include <png.h>

#include <cmath>
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

namespace heatrow {
namespace {

// Rows of 0x00RRGGBB words as PNG stores them before compression: each row its filter, 0 for none, and RGB.
std::vector<std::uint8_t> png_rows(cairo_surface_t* surface) {
    const auto width = static_cast<std::size_t>(cairo_image_surface_get_width(surface));
    const auto height = static_cast<std::size_t>(cairo_image_surface_get_height(surface));
    const auto stride = static_cast<std::size_t>(cairo_image_surface_get_stride(surface));
    std::vector<std::uint8_t> rows(height * (1 + 3 * width));
    std::uint8_t* to = rows.data();
    for (std::size_t y = 0; y < height; ++y) {
        const auto* words = reinterpret_cast<const std::uint32_t*>(cairo_image_surface_get_data(surface) + y * stride);
        *to++ = 0;
        for (std::size_t x = 0; x < width; ++x) {
            *to++ = static_cast<std::uint8_t>(words[x] >> 16U);
            *to++ = static_cast<std::uint8_t>(words[x] >> 8U);
            *to++ = static_cast<std::uint8_t>(words[x]);
        }
    }
    return rows;
}

// Empty: no memory. Enlarged pixels repeat, so that the quickest level without filters finds nearly as much as
// libpng's own compression, in a third of the time.
std::vector<std::uint8_t> compressed(const std::vector<std::uint8_t>& rows) {
    constexpr int kLevel = 1;
    const std::unique_ptr<libdeflate_compressor, decltype(&libdeflate_free_compressor)> compressor(
        libdeflate_alloc_compressor(kLevel), libdeflate_free_compressor);
    if (compressor == nullptr) {
        return {};
    }
    std::vector<std::uint8_t> bytes(libdeflate_zlib_compress_bound(compressor.get(), rows.size()));
    bytes.resize(libdeflate_zlib_compress(compressor.get(), rows.data(), rows.size(), bytes.data(), bytes.size()));
    return bytes;
}

// False: libpng gave up. No object with a destructor lives here, since libpng jumps.
bool write_png(std::string& bytes, const std::vector<std::uint8_t>& idat, int width, int height) {
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
    png_infop info = png != nullptr ? png_create_info_struct(png) : nullptr;
    if (info == nullptr || setjmp(png_jmpbuf(png)) != 0) {
        png_destroy_write_struct(&png, &info);
        return false;
    }
    png_set_write_fn(
        png,
        &bytes,
        [](png_structp writer, png_bytep data, png_size_t length) {
            static_cast<std::string*>(png_get_io_ptr(writer))->append(reinterpret_cast<const char*>(data), length);
        },
        nullptr);
    png_set_IHDR(png,
                 info,
                 static_cast<png_uint_32>(width),
                 static_cast<png_uint_32>(height),
                 8,
                 PNG_COLOR_TYPE_RGB,
                 PNG_INTERLACE_NONE,
                 PNG_COMPRESSION_TYPE_DEFAULT,
                 PNG_FILTER_TYPE_DEFAULT);
    png_write_info(png, info);
    png_write_chunk(png, reinterpret_cast<png_const_bytep>("IDAT"), idat.data(), idat.size());
    png_write_chunk(png, reinterpret_cast<png_const_bytep>("IEND"), nullptr, 0);
    png_destroy_write_struct(&png, &info);
    return true;
}

std::string png_of(cairo_surface_t* surface) {
    cairo_surface_flush(surface);
    const std::vector<std::uint8_t> idat = compressed(png_rows(surface));
    std::string bytes;
    if (idat.empty() ||
        !write_png(bytes, idat, cairo_image_surface_get_width(surface), cairo_image_surface_get_height(surface))) {
        throw Error(
            ErrorKind::output, "cannot draw the picture", "PNG", "it cannot be encoded", "Check the free memory");
    }
    return bytes;
}

class PngCanvas : public Canvas {
  public:
    PngCanvas(double width, double height, double scale)
        : surface_(make_cairo_surface(static_cast<int>(std::lround(width * scale)),
                                      static_cast<int>(std::lround(height * scale)))),
          context_(cairo_create(surface_.get())),
          canvas_(context_.get()) {
        cairo_scale(context_.get(), scale, scale);
    }

    void fill(const Polyline& outline, std::string_view colour) override { canvas_.fill(outline, colour); }
    void stroke(const std::vector<Polyline>& lines, const Stroke& stroke) override { canvas_.stroke(lines, stroke); }
    void pixels(const Image<Colour>& pixels, double x, double y, double scale) override {
        canvas_.pixels(pixels, x, y, scale);
    }
    void text(double x, double y, std::string_view content, const TextStyle& style) override {
        canvas_.text(x, y, content, style);
    }
    std::string finish() override { return png_of(surface_.get()); }

  private:
    CairoSurface surface_;
    CairoContext context_;
    CairoCanvas canvas_;
};

}  // namespace

std::unique_ptr<Canvas> make_png_canvas(double width, double height, double scale) {
    return std::make_unique<PngCanvas>(width, height, scale);
}

std::string encode_png(const Image<Colour>& pixels) {
    return png_of(cairo_surface_of(pixels).get());
}

}  // namespace heatrow
