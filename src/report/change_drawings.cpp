#include "change_drawings.hpp"

#include "heatrow/report/number_text.hpp"
#include "site_plan.hpp"
#include "svg.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

// Colours of Okabe and Ito, "Color universal design" (2008), as the classes have them; signs are this program's own.
struct Sign {
    std::string_view words;
    std::string_view fill;
    std::string_view shape;  // path about the origin, 14 px across
};
constexpr std::array<Sign, kChangeMarks> kSigns{{
    {"new", "#d55e00", "M0-7L2-2L7 0L2 2L0 7L-2 2L-7 0L-2-2z"},
    {"grown", "#e69f00", "M0-6L6 5H-6z"},
    {"another pattern", "#cc79a7", "M0-7L5 0L0 7L-5 0z"},
    {"shrunk", "#56b4e9", "M0 6L6-5H-6z"},
    {"gone", "#0072b2", "M-6-4L-4-6L0-2L4-6L6-4L2 0L6 4L4 6L0 2L-4 6L-6 4L-2 0z"},
    {"unchanged", "#d6dedd", "M-6-2H6V2H-6z"},
    {"not comparable", "url(#hatch)", "M-6-6H6V6H-6z"},
}};

const Sign& sign_of(ChangeMark mark) {
    return kSigns[static_cast<std::size_t>(mark)];
}

std::string sign_path(ChangeMark mark, std::string_view more) {
    return "<path d=\"" + std::string(sign_of(mark).shape) + "\" fill=\"" + std::string(sign_of(mark).fill) +
           "\" stroke=\"#1c2330\" stroke-width=\"1\"" + std::string(more) + "/>";
}

bool is_change(ChangeMark mark) {
    return mark != ChangeMark::unchanged && mark != ChangeMark::not_comparable;
}

}  // namespace

std::string_view change_words(ChangeMark mark) {
    return sign_of(mark).words;
}

std::string change_mark_svg(ChangeMark mark) {
    return "<svg width=\"16\" height=\"16\" viewBox=\"-8 -8 16 16\" role=\"img\" aria-label=\"" +
           std::string(change_words(mark)) + "\">" + sign_path(mark, "") + "</svg>";
}

std::string change_plan_svg(const ChangePage& page) {
    constexpr double kWidth = 1260.0;
    const SiteExtent extent = site_extent(*page.plan);
    const Eigen::Vector2d size = (extent.high - extent.low).cwiseMax(1.0);
    const PlanBox box{kWidth, std::clamp(kWidth * size.y() / size.x(), 180.0, 900.0)};
    const PlanFrame frame(extent.low, extent.high, box);
    Svg svg;
    svg.raw(open_drawing(box.width, box.height, "class=\"plan\" role=\"img\" aria-label=\"Plan of changes\""));
    svg.rect(0.0, 0.0, box.width, box.height, "fill=\"#ffffff\"");
    const std::vector<Module>& modules = page.plan->layout.modules;
    // One path a kind: a site of many modules stays small.
    for (int kind = kChangeMarks - 1; kind >= 0; --kind) {
        std::string outlines;
        for (std::size_t m = 0; m < modules.size(); ++m) {
            if (page.module_marks[m] == static_cast<ChangeMark>(kind)) {
                outlines += polygon_path(outline_px(frame, modules[m]));
            }
        }
        if (!outlines.empty()) {
            const auto mark = static_cast<ChangeMark>(kind);
            svg.path(outlines,
                     "fill=\"" + std::string(sign_of(mark).fill) + "\" stroke=\"#1c2330\" stroke-width=\"" +
                         (is_change(mark) ? "0.8" : "0.3") + "\"");
        }
    }
    for (std::size_t m = 0; m < modules.size(); ++m) {
        if (!is_change(page.module_marks[m])) {
            continue;
        }
        const Eigen::Vector2d centre = frame.to_px(modules[m].centre_in_site());
        svg.open_group("transform=\"translate(" + px(centre.x()) + " " + px(centre.y()) + ")\"");
        svg.title(modules[m].id + ": " + std::string(change_words(page.module_marks[m])));
        svg.raw("<circle r=\"9\" fill=\"#ffffff\" stroke=\"#1c2330\" stroke-width=\"0.6\"/>" +
                sign_path(page.module_marks[m], " transform=\"scale(.85)\""));
        svg.close_group();
    }
    draw_metre_bar(svg, frame, box);
    draw_north_arrow(svg, box);
    svg.raw("</svg>\n");
    return svg.str();
}

std::string history_svg(const ChangeLine& line, const std::vector<ChangePageSurvey>& surveys) {
    constexpr double kHeight = 58.0;
    constexpr double kTop = 8.0;
    constexpr double kBottom = 46.0;
    constexpr double kLeft = 34.0;
    const double width = std::max(160.0, 54.0 * static_cast<double>(surveys.size()));
    double low = 0.0;
    double high = 1.0;
    for (const Uncertain<KelvinDelta>& season : line.seasons) {
        if (season.is_known()) {
            low = std::min(low, season.value.value() - season.u95());
            high = std::max(high, season.value.value() + season.u95());
        }
    }
    const auto y_of = [&](double kelvin) { return kBottom - (kBottom - kTop) * (kelvin - low) / (high - low); };
    const double years = std::max(surveys.back().years, 1e-6);
    const auto x_of = [&](std::size_t s) { return kLeft + 10.0 + (width - kLeft - 32.0) * surveys[s].years / years; };
    Svg svg;
    svg.raw(open_drawing(width, kHeight, "role=\"img\" aria-label=\"History\""));
    svg.line(kLeft, y_of(0.0), width, y_of(0.0), "stroke=\"#8b8f94\" stroke-width=\"0.8\"");
    svg.text(kLeft - 4.0, y_of(0.0) + 3.0, "0", {.size = 9.0, .fill = kQuietInk, .anchor = Anchor::end});
    svg.text(kLeft - 4.0,
             kTop + 3.0,
             short_text(high, high < 10.0 ? 1 : 0) + " K",
             {.size = 9.0, .fill = kQuietInk, .anchor = Anchor::end});
    std::string path;
    for (std::size_t s = 0; s < surveys.size(); ++s) {
        if (line.seasons[s].is_known()) {
            path += (path.empty() ? "M" : "L") + px(x_of(s)) + " " + px(y_of(line.seasons[s].value.value()));
        }
    }
    svg.path(path, "fill=\"none\" stroke=\"#3f6f73\" stroke-width=\"1\"");
    for (std::size_t s = 0; s < surveys.size(); ++s) {
        const double x = x_of(s);
        svg.text(
            x, kHeight - 2.0, surveys[s].time.substr(0, 7), {.size = 9.0, .fill = kQuietInk, .anchor = Anchor::middle});
        if (!line.seasons[s].is_known()) {
            svg.text(x, y_of(0.0) - 4.0, "?", {.size = 11.0, .fill = kQuietInk, .anchor = Anchor::middle});
            continue;
        }
        const double value = line.seasons[s].value.value();
        const double half = line.seasons[s].u95();
        for (const auto& [from, to, across] : {std::tuple(value - half, value + half, 0.0),
                                               std::tuple(value - half, value - half, 4.0),
                                               std::tuple(value + half, value + half, 4.0)}) {
            svg.line(x - across, y_of(from), x + across, y_of(to), "stroke=\"#1c2330\" stroke-width=\"1\"");
        }
        svg.raw("<circle cx=\"" + px(x) + "\" cy=\"" + px(y_of(value)) + "\" r=\"3.2\" fill=\"" +
                (line.has_finding[s] ? "#1c2330" : "#ffffff") + "\" stroke=\"#1c2330\"/>");
    }
    svg.raw("</svg>");
    return svg.str();
}

}  // namespace heatrow
