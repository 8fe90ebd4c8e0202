#include "class_mark.hpp"

#include "svg.hpp"

#include <array>
#include <cmath>
#include <numbers>

namespace heatrow {

const ClassMark& class_mark(AbnormalityClass abnormality) {
    static constexpr std::array<ClassMark, 3> kMarks = {{
        {"M-7 0a7 7 0 1 0 14 0a7 7 0 1 0-14 0z", "#56b4e9", kInk, 3.6, "1", "no abnormality"},
        {"M0-9L9 7H-9z", "#e69f00", kInk, 5.4, "2", "thermal abnormality"},
        {"M0-9.5L9.5 0L0 9.5L-9.5 0z", "#d55e00", "#ffffff", 3.7, "3", "safety-relevant"},
    }};
    return kMarks[static_cast<std::size_t>(abnormality) - 1];
}

std::string class_mark_svg(AbnormalityClass abnormality, double x, double y, double scale) {
    const ClassMark& mark = class_mark(abnormality);
    std::string transform = "transform=\"translate(" + px(x) + " " + px(y) + ")";
    if (scale != 1.0) {
        transform += " scale(" + px(scale) + ")";
    }
    Svg svg;
    svg.open_group(transform + "\"");
    svg.path(mark.shape, "fill=\"#ffffff\" stroke=\"#ffffff\" stroke-width=\"4\" stroke-linejoin=\"round\"");
    svg.path(mark.shape,
             "fill=\"" + std::string(mark.fill) + "\" stroke=\"" + std::string(kInk) +
                 "\" stroke-width=\"1.2\" stroke-linejoin=\"round\"");
    svg.text(0.0, mark.number_y, mark.number, {10.0, mark.number_fill, Anchor::middle, true});
    return svg.close_group().str();
}

void draw_class_mark(Canvas& canvas, AbnormalityClass abnormality, double x, double y, double scale) {
    const ClassMark& mark = class_mark(abnormality);
    Polyline outline;
    switch (abnormality) {
        case AbnormalityClass::none: {
            constexpr int kSides = 36;
            for (int i = 0; i < kSides; ++i) {
                const double turn = 2.0 * std::numbers::pi * i / kSides;
                outline.emplace_back(7.0 * std::cos(turn), 7.0 * std::sin(turn));
            }
            break;
        }
        case AbnormalityClass::thermal:
            outline = {{0.0, -9.0}, {9.0, 7.0}, {-9.0, 7.0}};
            break;
        case AbnormalityClass::safety_relevant:
            outline = {{0.0, -9.5}, {9.5, 0.0}, {0.0, 9.5}, {-9.5, 0.0}};
            break;
    }
    for (Eigen::Vector2d& point : outline) {
        point = Eigen::Vector2d(x, y) + scale * point;
    }
    canvas.stroke({outline},
                  {.colour = "#ffffff", .width = 4.0 * scale, .closed = true});  // parts it from its own colour
    canvas.fill(outline, mark.fill);
    canvas.stroke({outline}, {.colour = kInk, .width = 1.2 * scale, .closed = true});
    canvas.text(x,
                y + scale * mark.number_y,
                mark.number,
                {.size = 10.0 * scale, .fill = mark.number_fill, .anchor = Anchor::middle, .bold = true});
}

std::string ambiguous_mark_svg(double x, double y) {
    Svg svg;
    svg.open_group("transform=\"translate(" + px(x) + " " + px(y) + ")\"");
    svg.path("M-7 0a7 7 0 1 0 14 0a7 7 0 1 0-14 0z",
             "fill=\"#ffffff\" stroke=\"" + std::string(kInk) + "\" stroke-width=\"1.2\" stroke-dasharray=\"2.4 2\"");
    svg.text(0.0, 3.7, "?", {10.0, kInk, Anchor::middle, true});
    return svg.close_group().str();
}

}  // namespace heatrow
