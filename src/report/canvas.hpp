// What a drawing is made of, so that one drawing becomes SVG or PNG. Units: px of the drawing, y down.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/report/difference_scale.hpp"
#include "svg.hpp"

#include <Eigen/Core>

#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

using Polyline = std::vector<Eigen::Vector2d>;

struct Stroke {
    std::string_view colour;  // "#rrggbb"
    double width = 1.0;
    bool closed = false;
    double dash = 0.0;  // length of dashes and gaps; 0: solid
};

class Canvas {
  public:
    Canvas() = default;
    Canvas(const Canvas&) = delete;
    Canvas& operator=(const Canvas&) = delete;
    virtual ~Canvas() = default;

    virtual void fill(const Polyline& outline, std::string_view colour) = 0;
    // All lines as one path.
    virtual void stroke(const std::vector<Polyline>& lines, const Stroke& stroke) = 0;
    // Pixels as they are, `scale` px of the drawing each, the first one's corner at (x, y).
    virtual void pixels(const Image<Colour>& pixels, double x, double y, double scale) = 0;
    virtual void text(double x, double y, std::string_view content, const TextStyle& style) = 0;
    // The finished file.
    virtual std::string finish() = 0;
};

std::unique_ptr<Canvas> make_svg_canvas(double width, double height);
// `scale`: px of the file per px of the drawing. Throws Error(output) for pictures too large.
std::unique_ptr<Canvas> make_png_canvas(double width, double height, double scale);

// A PNG of the pixels alone.
std::string encode_png(const Image<Colour>& pixels);

// Lines at 45 degrees across a convex area, `spacing` apart.
std::vector<Polyline> hatch_lines(const Polyline& convex, double spacing);

Polyline rectangle(double x, double y, double width, double height);

}  // namespace heatrow
