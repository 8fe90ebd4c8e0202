#include "site_map.hpp"

#include "class_mark.hpp"
#include "conditions_text.hpp"
#include "heatrow/report/markup.hpp"
#include "site_plan.hpp"
#include "svg.hpp"

#include <algorithm>
#include <array>
#include <string>
#include <string_view>

namespace heatrow {
namespace {

constexpr double kWidth = 1200.0;
constexpr double kLowest = 160.0;
constexpr double kHighest = 620.0;

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

// How a module's area is filled.
enum class Fill { class_1, class_2, class_3, not_assessed, count };

Fill fill_of(const ModuleResult& result) {
    if (!result.assessed) {
        return Fill::not_assessed;
    }
    switch (result.abnormality) {
        case AbnormalityClass::thermal:
            return Fill::class_2;
        case AbnormalityClass::safety_relevant:
            return Fill::class_3;
        case AbnormalityClass::none:
            break;
    }
    return Fill::class_1;
}

std::string paint_of(Fill fill) {
    switch (fill) {
        case Fill::class_2:
            return std::string(class_mark(AbnormalityClass::thermal).fill);
        case Fill::class_3:
            return std::string(class_mark(AbnormalityClass::safety_relevant).fill);
        case Fill::not_assessed:
            return "url(#hatch)";
        case Fill::class_1:
        case Fill::count:
            break;
    }
    return "#a9c3c1";
}

PlanBox box_of(const SurveyRecord& record) {
    const SiteExtent extent = site_extent(record);
    const Eigen::Vector2d size = (extent.high - extent.low).cwiseMax(1.0);
    return {kWidth, std::clamp((kWidth - 24.0) * size.y() / size.x() + 60.0, kLowest, kHighest)};
}

void draw_string(Svg& svg, const ReportModel& model, std::size_t section, const PlanFrame& frame) {
    const StringView& string = model.strings[section];
    std::array<std::string, static_cast<std::size_t>(Fill::count)> paths;
    for (const int module : string.modules) {
        const Fill fill = fill_of(model.record->modules[at(module)]);
        paths[static_cast<std::size_t>(fill)] +=
            polygon_path(outline_px(frame, model.record->layout.modules[at(module)]));
    }
    svg.raw("<a href=\"#s" + std::to_string(section) + "\">");
    svg.title((string.string == -1 ? "" : "String ") + string.title + ": " + string_count_text(model, string));
    for (std::size_t i = 0; i < paths.size(); ++i) {
        if (!paths[i].empty()) {
            svg.path(paths[i],
                     "fill=\"" + paint_of(static_cast<Fill>(i)) + "\" stroke=\"#ffffff\" stroke-width=\"0.4\"");
        }
    }
    svg.raw("</a>\n");
}

void draw_pins(Svg& svg, const ReportModel& model, const PlanFrame& frame) {
    const SurveyRecord& record = *model.record;
    for (std::size_t i = record.findings.size(); i-- > 0;) {  // the gravest last, on top
        const Finding& finding = record.findings[i];
        const Eigen::Vector3d position = position_of_finding(record, finding);
        if (!position.allFinite()) {
            continue;
        }
        const Eigen::Vector2d point = frame.to_px(position);
        svg.raw("<a href=\"#f" + std::to_string(i) + "\" transform=\"translate(" + px(point.x()) + " " + px(point.y()) +
                ")\">");
        svg.title(finding_headline(record, finding));
        svg.raw("<g class=\"pin\"><use href=\"#mark-" + std::string(class_mark(finding.abnormality).number) +
                "\"/></g></a>\n");
    }
}

}  // namespace

std::string site_map_svg(const ReportModel& model) {
    const SurveyRecord& record = *model.record;
    const PlanBox box = box_of(record);
    const SiteExtent extent = site_extent(record);
    const PlanFrame frame(extent.low, extent.high, box);
    Svg svg;
    svg.raw(open_drawing(box.width, box.height, "role=\"group\" aria-label=\"Plan of the site, north up\""));
    for (std::size_t section = 0; section < model.strings.size(); ++section) {
        draw_string(svg, model, section, frame);
    }
    draw_pins(svg, model, frame);
    draw_metre_bar(svg, frame, box);
    draw_north_arrow(svg, box);
    return svg.raw("</svg>\n").str();
}

}  // namespace heatrow
