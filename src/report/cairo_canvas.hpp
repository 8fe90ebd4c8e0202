// A drawing on a cairo context: the same for pictures and for pages.
#pragma once

#include "canvas.hpp"

#include <cairo.h>

#include <memory>
#include <string>
#include <string_view>

namespace heatrow {

struct SurfaceEnd {
    void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
struct ContextEnd {
    void operator()(cairo_t* context) const { cairo_destroy(context); }
};
using CairoSurface = std::unique_ptr<cairo_surface_t, SurfaceEnd>;
using CairoContext = std::unique_ptr<cairo_t, ContextEnd>;

inline constexpr std::string_view kScreenFaces = "DejaVu Sans, sans-serif";

// Throws Error(output) where the picture is too large.
CairoSurface make_cairo_surface(int width, int height);
CairoSurface cairo_surface_of(const Image<Colour>& pixels);
void set_cairo_colour(cairo_t* context, std::string_view hex);

class CairoCanvas : public Canvas {
  public:
    // The context outlives the canvas. `faces`: families by preference.
    explicit CairoCanvas(cairo_t* context, std::string_view faces = kScreenFaces);

    void fill(const Polyline& outline, std::string_view colour) override;
    void stroke(const std::vector<Polyline>& lines, const Stroke& stroke) override;
    void pixels(const Image<Colour>& pixels, double x, double y, double scale) override;
    void text(double x, double y, std::string_view content, const TextStyle& style) override;
    // Nothing: the owner of the context ends the file.
    std::string finish() override { return {}; }

  private:
    void trace(const Polyline& line, bool closed);

    cairo_t* context_;
    std::string faces_;
};

}  // namespace heatrow
