#include "joint_ladder.hpp"

#include "class_mark.hpp"
#include "heatrow/report/number_text.hpp"
#include "heatrow/report/temperature_scale.hpp"
#include "svg.hpp"

#include <algorithm>

namespace heatrow {
namespace {

constexpr double kWidth = 860.0;
constexpr double kNames = 150.0;
constexpr double kRow = 27.0;
constexpr double kHead = 8.0;
constexpr double kAxis = 34.0;

double x_of(double kelvin, KelvinDelta hottest) {
    return kNames + (kWidth - kNames - 40.0) * std::clamp(kelvin / hottest.value(), 0.0, 1.0);
}

void draw_axis(Svg& svg, double bottom, KelvinDelta hottest) {
    for (const double kelvin : scale_ticks(0.0, hottest.value())) {
        const double x = x_of(kelvin, hottest);
        svg.line(x, kHead, x, bottom, "stroke=\"#d9d5ca\"");
        svg.text(x, bottom + 14.0, short_text(kelvin, 1), {.size = 11.0, .fill = kQuietInk, .anchor = Anchor::middle});
    }
    svg.line(kNames, bottom, x_of(hottest.value(), hottest), bottom, "stroke=\"" + std::string(kInk) + "\"");
    svg.text(x_of(hottest.value(), hottest),
             bottom + 29.0,
             "K over air",
             {.size = 11.0, .fill = kQuietInk, .anchor = Anchor::end});
}

void draw_joint(Svg& svg, const JointLine& joint, double y, KelvinDelta hottest) {
    svg.text(kNames - 14.0, y + 4.0, fit_text(joint.id, kNames - 20.0, 12.0), {.size = 12.0, .anchor = Anchor::end});
    const double right = x_of(hottest.value(), hottest);
    if (!joint.rise_at_load.is_known()) {
        svg.rect(kNames, y - 8.0, right - kNames, 16.0, "fill=\"url(#hatch)\"");
        svg.rect(kNames + 8.0, y - 8.0, 80.0, 16.0, "fill=\"" + std::string(kPaper) + "\"");
        svg.text(kNames + 16.0, y + 4.0, "not judged", {.size = 11.0, .fill = kQuietInk});
        return;
    }
    const double rise = joint.rise_at_load.value.value();
    const double half = joint.rise_at_load.u95();
    const double x = x_of(rise, hottest);
    if (joint.over_siblings.is_known()) {
        const double siblings = x_of(rise - joint.over_siblings.value.value(), hottest);
        svg.line(siblings, y, x, y, "stroke=\"#3f6f73\" stroke-width=\"7\" stroke-opacity=\"0.35\"");
        svg.line(siblings, y - 10.0, siblings, y + 10.0, "stroke=\"#3f6f73\" stroke-width=\"2.5\"");
    }
    const std::string ink = "stroke=\"" + std::string(kInk) + "\" stroke-width=\"1.3\"";
    const double low = x_of(rise - half, hottest);
    const double high = x_of(rise + half, hottest);
    svg.line(low, y, high, y, ink);
    svg.line(low, y - 4.0, low, y + 4.0, ink);
    if (joint.lower_bound) {
        svg.path("M" + px(high) + " " + px(y - 5.0) + "l7 5l-7 5", "fill=\"none\" " + ink);
    } else {
        svg.line(high, y - 4.0, high, y + 4.0, ink);
    }
    if (joint.abnormality) {
        svg.raw(class_mark_svg(*joint.abnormality, x, y));
    } else {
        svg.raw("<circle cx=\"" + px(x) + "\" cy=\"" + px(y) + "\" r=\"6\" fill=\"url(#hatch)\" " + ink + "/>\n");
    }
}

}  // namespace

KelvinDelta ladder_end(const std::vector<JointLine>& joints) {
    double hottest = 1.0;
    for (const JointLine& joint : joints) {
        if (joint.rise_at_load.is_known()) {
            hottest = std::max(hottest, joint.rise_at_load.value.value() + joint.rise_at_load.u95());
        }
    }
    return KelvinDelta(rounded_out({Celsius(0.0), Celsius(hottest)}).high.value());
}

std::string joint_ladder_svg(const std::vector<const JointLine*>& joints, KelvinDelta hottest) {
    const double bottom = kHead + kRow * static_cast<double>(joints.size());
    Svg svg;
    svg.raw(open_drawing(kWidth, bottom + kAxis, "class=\"ladder\""));
    draw_axis(svg, bottom, hottest);
    double y = kHead + 0.5 * kRow;
    for (const JointLine* joint : joints) {
        draw_joint(svg, *joint, y, hottest);
        y += kRow;
    }
    return svg.raw("</svg>\n").str();
}

}  // namespace heatrow
