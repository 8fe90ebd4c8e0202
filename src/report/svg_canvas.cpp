#include "canvas.hpp"
#include "packed_text.hpp"

#include <array>
#include <cstdint>

namespace heatrow {
namespace {

class SvgCanvas : public Canvas {
  public:
    SvgCanvas(double width, double height) { svg_.raw(open_drawing(width, height, "")); }

    void fill(const Polyline& outline, std::string_view colour) override {
        svg_.path(polygon_path(outline), "fill=\"" + std::string(colour) + "\"");
    }
    void stroke(const std::vector<Polyline>& lines, const Stroke& stroke) override {
        std::string d;
        for (const Polyline& line : lines) {
            std::string part = polygon_path(line);
            if (!stroke.closed && !part.empty()) {
                part.pop_back();
            }
            d += part;
        }
        std::string attributes = "fill=\"none\" stroke=\"" + std::string(stroke.colour) + "\" stroke-width=\"" +
                                 px(stroke.width) + "\" stroke-linejoin=\"round\"";
        if (stroke.dash > 0.0) {
            attributes += " stroke-dasharray=\"" + px(stroke.dash) + "\"";
        }
        svg_.path(d, attributes);
    }
    void pixels(const Image<Colour>& pixels, double x, double y, double scale) override {
        svg_.raw("<image x=\"" + px(x) + "\" y=\"" + px(y) + "\" width=\"" + px(pixels.width() * scale) +
                 "\" height=\"" + px(pixels.height() * scale) + "\"" +
                 (scale >= 1.0 ? " style=\"image-rendering:pixelated\"" : "") + " href=\"data:image/png;base64," +
                 base64(encode_png(pixels)) + "\"/>\n");
    }
    void text(double x, double y, std::string_view content, const TextStyle& style) override {
        svg_.text(x, y, content, style);
    }
    std::string finish() override { return svg_.raw("</svg>\n").str(); }

  private:
    Svg svg_;
};

}  // namespace

std::unique_ptr<Canvas> make_svg_canvas(double width, double height) {
    return std::make_unique<SvgCanvas>(width, height);
}

}  // namespace heatrow
