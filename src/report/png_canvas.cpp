#include "canvas.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/report/markup.hpp"

#include <cairo.h>
#include <libdeflate.h>
#include <pango/pangocairo.h>
#include <png.h>

#include <charconv>
#include <cmath>
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

namespace heatrow {
namespace {

struct SurfaceEnd {
    void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
struct ContextEnd {
    void operator()(cairo_t* context) const { cairo_destroy(context); }
};
struct ObjectEnd {
    void operator()(void* object) const { g_object_unref(object); }
};
struct FontEnd {
    void operator()(PangoFontDescription* font) const { pango_font_description_free(font); }
};
using Surface = std::unique_ptr<cairo_surface_t, SurfaceEnd>;

Surface make_surface(int width, int height) {
    Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height));
    if (cairo_surface_status(surface.get()) != CAIRO_STATUS_SUCCESS) {
        throw Error(ErrorKind::output,
                    "cannot draw the picture",
                    std::to_string(width) + " x " + std::to_string(height) + " px",
                    "it is too large for the drawing library or the memory",
                    "Draw a part of it");
    }
    return surface;
}

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

Surface surface_of(const Image<Colour>& pixels) {
    Surface surface = make_surface(pixels.width(), pixels.height());
    cairo_surface_flush(surface.get());
    const int stride = cairo_image_surface_get_stride(surface.get()) / 4;
    auto* words = reinterpret_cast<std::uint32_t*>(cairo_image_surface_get_data(surface.get()));
    for (int y = 0; y < pixels.height(); ++y) {
        for (int x = 0; x < pixels.width(); ++x) {
            const Colour c = pixels.view()(x, y);
            words[static_cast<std::ptrdiff_t>(y) * stride + x] =
                static_cast<std::uint32_t>(c.red) << 16U | static_cast<std::uint32_t>(c.green) << 8U | c.blue;
        }
    }
    cairo_surface_mark_dirty(surface.get());
    return surface;
}

class PngCanvas : public Canvas {
  public:
    PngCanvas(double width, double height, double scale)
        : surface_(make_surface(static_cast<int>(std::lround(width * scale)),
                                static_cast<int>(std::lround(height * scale)))),
          context_(cairo_create(surface_.get())) {
        cairo_scale(context_.get(), scale, scale);
        cairo_set_line_join(context_.get(), CAIRO_LINE_JOIN_ROUND);
    }

    void fill(const Polyline& outline, std::string_view colour) override {
        trace(outline, true);
        set_colour(colour);
        cairo_fill(context_.get());
    }
    void stroke(const std::vector<Polyline>& lines, const Stroke& stroke) override {
        for (const Polyline& line : lines) {
            trace(line, stroke.closed);
        }
        set_colour(stroke.colour);
        cairo_set_line_width(context_.get(), stroke.width);
        cairo_set_dash(context_.get(), &stroke.dash, stroke.dash > 0.0 ? 1 : 0, 0.0);
        cairo_stroke(context_.get());
    }
    void pixels(const Image<Colour>& pixels, double x, double y, double scale) override {
        const Surface source = surface_of(pixels);
        cairo_save(context_.get());
        cairo_translate(context_.get(), x, y);
        cairo_scale(context_.get(), scale, scale);
        cairo_set_source_surface(context_.get(), source.get(), 0.0, 0.0);
        cairo_pattern_set_filter(cairo_get_source(context_.get()),
                                 scale >= 1.0 ? CAIRO_FILTER_NEAREST : CAIRO_FILTER_GOOD);
        cairo_rectangle(context_.get(), 0.0, 0.0, pixels.width(), pixels.height());
        cairo_fill(context_.get());
        cairo_restore(context_.get());
    }
    void text(double x, double y, std::string_view content, const TextStyle& style) override {
        const std::string clean = clean_utf8(content);
        const std::unique_ptr<PangoLayout, ObjectEnd> layout(pango_cairo_create_layout(context_.get()));
        const std::unique_ptr<PangoFontDescription, FontEnd> font(pango_font_description_new());
        pango_font_description_set_family(font.get(), "DejaVu Sans, sans-serif");
        pango_font_description_set_absolute_size(font.get(), style.size * PANGO_SCALE);
        pango_font_description_set_weight(font.get(), style.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
        pango_layout_set_font_description(layout.get(), font.get());
        pango_layout_set_text(layout.get(), clean.data(), static_cast<int>(clean.size()));
        int width = 0;
        pango_layout_get_size(layout.get(), &width, nullptr);
        const double drawn = static_cast<double>(width) / PANGO_SCALE;
        const double shift = style.anchor == Anchor::start ? 0.0 : style.anchor == Anchor::middle ? 0.5 : 1.0;
        const double baseline = static_cast<double>(pango_layout_get_baseline(layout.get())) / PANGO_SCALE;
        set_colour(style.fill);
        cairo_move_to(context_.get(), x - shift * drawn, y - baseline);
        pango_cairo_show_layout(context_.get(), layout.get());
    }
    std::string finish() override { return png_of(surface_.get()); }

  private:
    void trace(const Polyline& line, bool closed) {
        for (std::size_t i = 0; i < line.size(); ++i) {
            if (i == 0) {
                cairo_move_to(context_.get(), line[i].x(), line[i].y());
            } else {
                cairo_line_to(context_.get(), line[i].x(), line[i].y());
            }
        }
        if (closed && !line.empty()) {
            cairo_close_path(context_.get());
        }
    }
    void set_colour(std::string_view hex) {
        unsigned value = 0;
        std::from_chars(hex.data() + 1, hex.data() + hex.size(), value, 16);
        const auto part = [value](unsigned shift) { return static_cast<double>((value >> shift) & 255U) / 255.0; };
        cairo_set_source_rgb(context_.get(), part(16U), part(8U), part(0U));
    }

    Surface surface_;
    std::unique_ptr<cairo_t, ContextEnd> context_;
};

}  // namespace

std::unique_ptr<Canvas> make_png_canvas(double width, double height, double scale) {
    return std::make_unique<PngCanvas>(width, height, scale);
}

std::string encode_png(const Image<Colour>& pixels) {
    return png_of(surface_of(pixels).get());
}

}  // namespace heatrow
