#include "ribbon_legend.hpp"

#include "class_mark.hpp"
#include "heatrow/report/number_text.hpp"

#include <cmath>

namespace heatrow {
namespace {

constexpr double kStepPx = 6.0;
constexpr double kBarHeight = 13.0;
constexpr TextStyle kLabel = {.size = 10.5, .fill = kInk};

void draw_colour_bar(Svg& svg, const DifferenceScale& scale) {
    const double width = kStepPx * kScaleSteps;
    const double limit = scale.limit().value();
    svg.text(0.0, 9.0, "Difference from the healthy module, K at 1000 W/m²", {.size = 10.5, .bold = true});
    for (int step = 0; step < kScaleSteps; ++step) {
        svg.rect(kStepPx * step,
                 16.0,
                 kStepPx + 0.3,
                 kBarHeight,
                 "fill=\"" + to_hex(scale_colours()[static_cast<std::size_t>(step)]) + "\"");
    }
    svg.rect(0.0, 16.0, width, kBarHeight, "fill=\"none\" stroke=\"" + std::string(kInk) + "\" stroke-width=\"0.8\"");
    const std::string chevron = "fill=\"none\" stroke=\"#ffffff\" stroke-width=\"1.4\"";
    svg.path("M3 21l3.5 4.5l3.5-4.5", chevron);
    svg.path("M" + px(width - 10.0) + " 24.5l3.5-4.5l3.5 4.5", chevron);
    for (const double share : {-1.0, -0.5, 0.0, 0.5, 1.0}) {
        const double x = width * (share + 1.0) / 2.0;
        svg.line(x, 29.0, x, 33.0, "stroke=\"" + std::string(kInk) + "\" stroke-width=\"0.8\"");
        const double value = limit * share;
        const std::string label = signed_text(value, value == std::floor(value) ? 0 : 1);
        svg.text(x,
                 43.0,
                 label,
                 {.size = 10.0,
                  .anchor = share == -1.0  ? Anchor::start
                            : share == 1.0 ? Anchor::end
                                           : Anchor::middle});
    }
    svg.text(
        0.0, 57.0, "A chevron in a cell: beyond this scale. A dash: clearly cooler.", {.size = 9.5, .fill = kQuietInk});
}

}  // namespace

void draw_legend(Svg& svg, const DifferenceScale& scale) {
    draw_colour_bar(svg, scale);
    constexpr double kClasses = 352.0;
    svg.text(kClasses, 9.0, "Class of abnormality (IEC TS 62446-3)", {.size = 10.5, .bold = true});
    double x = kClasses + 9.0;
    for (const AbnormalityClass abnormality :
         {AbnormalityClass::none, AbnormalityClass::thermal, AbnormalityClass::safety_relevant}) {
        svg.raw(class_mark_svg(abnormality, x, 25.0));
        const std::string_view words = class_mark(abnormality).words;
        svg.text(x + 14.0, 29.0, words, kLabel);
        x += text_width(words, kLabel.size) + 36.0;
    }
    constexpr std::string_view kHatched = "not assessed: not called healthy";
    svg.rect(
        kClasses, 42.0, 18.0, 13.0, "fill=\"url(#hatch)\" stroke=\"" + std::string(kInk) + "\" stroke-width=\"0.8\"");
    svg.text(kClasses + 23.0, 52.5, kHatched, kLabel);
    x = kClasses + 23.0 + text_width(kHatched, kLabel.size) + 30.0;
    svg.raw(ambiguous_mark_svg(x, 49.0));
    svg.text(x + 13.0, 52.5, "may be another module; candidates are listed", kLabel);
}

std::string hatch_definition() {
    return "<pattern id=\"hatch\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\" "
           "patternTransform=\"rotate(45)\"><rect width=\"6\" height=\"6\" fill=\"#f6f5f1\"/>"
           "<path d=\"M0 0V6\" stroke=\"#8b8f94\" stroke-width=\"2.2\"/></pattern>\n";
}

}  // namespace heatrow
