#include "cairo_canvas.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/report/markup.hpp"
#include "pango_handles.hpp"

#include <charconv>
#include <cstdint>

namespace heatrow {
CairoSurface make_cairo_surface(int width, int height) {
    CairoSurface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height));
    if (cairo_surface_status(surface.get()) != CAIRO_STATUS_SUCCESS) {
        throw Error(ErrorKind::output,
                    "cannot draw the picture",
                    std::to_string(width) + " x " + std::to_string(height) + " px",
                    "it is too large for the drawing library or the memory",
                    "Draw a part of it");
    }
    return surface;
}

CairoSurface cairo_surface_of(const Image<Colour>& pixels) {
    CairoSurface surface = make_cairo_surface(pixels.width(), pixels.height());
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

void set_cairo_colour(cairo_t* context, std::string_view hex) {
    unsigned value = 0;
    std::from_chars(hex.data() + 1, hex.data() + hex.size(), value, 16);
    const auto part = [value](unsigned shift) { return static_cast<double>((value >> shift) & 255U) / 255.0; };
    cairo_set_source_rgb(context, part(16U), part(8U), part(0U));
}

CairoCanvas::CairoCanvas(cairo_t* context, std::string_view faces) : context_(context), faces_(faces) {
    cairo_set_line_join(context_, CAIRO_LINE_JOIN_ROUND);
}

void CairoCanvas::fill(const Polyline& outline, std::string_view colour) {
    trace(outline, true);
    set_cairo_colour(context_, colour);
    cairo_fill(context_);
}

void CairoCanvas::stroke(const std::vector<Polyline>& lines, const Stroke& stroke) {
    for (const Polyline& line : lines) {
        trace(line, stroke.closed);
    }
    set_cairo_colour(context_, stroke.colour);
    cairo_set_line_width(context_, stroke.width);
    cairo_set_dash(context_, &stroke.dash, stroke.dash > 0.0 ? 1 : 0, 0.0);
    cairo_stroke(context_);
}

void CairoCanvas::pixels(const Image<Colour>& pixels, double x, double y, double scale) {
    const CairoSurface source = cairo_surface_of(pixels);
    cairo_save(context_);
    cairo_translate(context_, x, y);
    cairo_scale(context_, scale, scale);
    cairo_set_source_surface(context_, source.get(), 0.0, 0.0);
    cairo_pattern_set_filter(cairo_get_source(context_), scale >= 1.0 ? CAIRO_FILTER_NEAREST : CAIRO_FILTER_GOOD);
    cairo_rectangle(context_, 0.0, 0.0, pixels.width(), pixels.height());
    cairo_fill(context_);
    cairo_restore(context_);
}

void CairoCanvas::text(double x, double y, std::string_view content, const TextStyle& style) {
    const std::string clean = clean_utf8(content);
    const TextLayout layout(pango_cairo_create_layout(context_));
    const FontDescription font(pango_font_description_new());
    pango_font_description_set_family(font.get(), faces_.c_str());
    pango_font_description_set_absolute_size(font.get(), style.size * PANGO_SCALE);
    pango_font_description_set_weight(font.get(), style.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_layout_set_font_description(layout.get(), font.get());
    pango_layout_set_text(layout.get(), clean.data(), static_cast<int>(clean.size()));
    int width = 0;
    pango_layout_get_size(layout.get(), &width, nullptr);
    const double drawn = static_cast<double>(width) / PANGO_SCALE;
    const double shift = style.anchor == Anchor::start ? 0.0 : style.anchor == Anchor::middle ? 0.5 : 1.0;
    const double baseline = static_cast<double>(pango_layout_get_baseline(layout.get())) / PANGO_SCALE;
    set_cairo_colour(context_, style.fill);
    cairo_move_to(context_, x - shift * drawn, y - baseline);
    pango_cairo_show_layout(context_, layout.get());
}

void CairoCanvas::trace(const Polyline& line, bool closed) {
    for (std::size_t i = 0; i < line.size(); ++i) {
        if (i == 0) {
            cairo_move_to(context_, line[i].x(), line[i].y());
        } else {
            cairo_line_to(context_, line[i].x(), line[i].y());
        }
    }
    if (closed && !line.empty()) {
        cairo_close_path(context_);
    }
}

}  // namespace heatrow
