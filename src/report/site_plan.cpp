#include "site_plan.hpp"

#include "class_mark.hpp"
#include "heatrow/report/number_text.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <vector>

namespace heatrow {
namespace {

constexpr double kMargin = 12.0;  // px kept free inside a window
constexpr double kFlatPx = 0.4;   // drawn instead of nothing where modules stand on edge

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

Eigen::Vector2d ground(const Eigen::Vector3d& point) {
    return point.head<2>();
}

// Corners of the convex hull, counter-clockwise (Andrew's monotone chain, Inf. Process. Lett. 9, 1979).
std::vector<Eigen::Vector2d> convex_hull(std::vector<Eigen::Vector2d> points) {
    std::sort(points.begin(), points.end(), [](const auto& a, const auto& b) {
        return a.x() < b.x() || (a.x() == b.x() && a.y() < b.y());
    });
    const auto turns_left = [](const Eigen::Vector2d& a, const Eigen::Vector2d& b, const Eigen::Vector2d& c) {
        return (b.x() - a.x()) * (c.y() - a.y()) - (b.y() - a.y()) * (c.x() - a.x()) > 0.0;
    };
    std::vector<Eigen::Vector2d> hull;
    for (int pass = 0; pass < 2; ++pass) {
        const std::size_t base = hull.size();
        for (const Eigen::Vector2d& point : points) {
            while (hull.size() >= base + 2 && !turns_left(hull[hull.size() - 2], hull.back(), point)) {
                hull.pop_back();
            }
            hull.push_back(point);
        }
        hull.pop_back();
        std::reverse(points.begin(), points.end());
    }
    return hull;
}

void draw_window(Svg& svg, const PlanBox& box) {
    svg.rect(0.0, 0.0, box.width, box.height, "fill=\"#ffffff\" stroke=\"" + std::string(kOtherModules) + "\"");
}

// The sign of a string's end, above its module.
void draw_pole(Svg& svg, const PlanFrame& frame, const Module& module, std::string_view sign) {
    double top = std::numeric_limits<double>::max();
    for (const Eigen::Vector2d& corner : outline_px(frame, module)) {
        top = std::min(top, corner.y());
    }
    const Eigen::Vector2d centre = frame.to_px(module.centre_in_site());
    const double y = top > 16.0 ? top - 4.0 : centre.y() + 4.0;
    svg.text(centre.x(), y, sign, {.size = 13.0, .fill = kInk, .anchor = Anchor::middle, .bold = true});
}

}  // namespace

PlanFrame::PlanFrame(const Eigen::Vector2d& low_in_site, const Eigen::Vector2d& high_in_site, const PlanBox& box)
    : middle_((low_in_site + high_in_site) / 2.0), box_(box) {
    const Eigen::Vector2d size = (high_in_site - low_in_site).cwiseMax(1.0);
    scale_ = std::min((box.width - 2.0 * kMargin) / size.x(), (box.height - 2.0 * kMargin) / size.y());
}

Eigen::Vector2d PlanFrame::to_px(const Eigen::Vector3d& point_in_site) const {
    const Eigen::Vector2d from_middle = (ground(point_in_site) - middle_) * scale_;
    return {box_.width / 2.0 + from_middle.x(), box_.height / 2.0 - from_middle.y()};
}

bool PlanFrame::sees(const Eigen::Vector3d& point_in_site) const {
    const Eigen::Vector2d point = to_px(point_in_site);
    return point.x() > 0.0 && point.y() > 0.0 && point.x() < box_.width && point.y() < box_.height;
}

void SiteExtent::add(const Module& module) {
    for (const Eigen::Vector3d& corner : module.corners_in_site) {
        low = low.cwiseMin(ground(corner));
        high = high.cwiseMax(ground(corner));
    }
}

SiteExtent site_extent(const SurveyRecord& record) {
    SiteExtent extent;
    for (const Module& module : record.layout.modules) {
        extent.add(module);
    }
    return extent;
}

PlanFrame site_frame(const SurveyRecord& record) {
    const SiteExtent extent = site_extent(record);
    return {extent.low, extent.high, kSiteBox};
}

std::vector<Eigen::Vector2d> outline_px(const PlanFrame& frame, const Module& module) {
    std::vector<Eigen::Vector2d> outline;
    for (const Eigen::Vector3d& corner : module.corners_in_site) {
        outline.push_back(frame.to_px(corner));
    }
    return outline;
}

double round_length_m(const PlanFrame& frame, double longest_px) {
    const double longest_m = longest_px / frame.pixels_per_metre();
    const double decade = std::pow(10.0, std::floor(std::log10(longest_m)));
    double length_m = decade;
    for (const double step : {2.0, 5.0}) {
        length_m = step * decade <= longest_m ? step * decade : length_m;
    }
    return length_m;
}

void draw_metre_bar(Svg& svg, const PlanFrame& frame, const PlanBox& box) {
    constexpr double kLongestPx = 70.0;
    const double length_m = round_length_m(frame, kLongestPx);
    const double end = 8.0 + length_m * frame.pixels_per_metre();
    const double y = box.height - 7.0;
    svg.path("M8 " + px(y - 3.0) + "v3H" + px(end) + "v-3",
             "fill=\"none\" stroke=\"" + std::string(kQuietInk) + "\" stroke-width=\"1\"");
    svg.text(end + 4.0, y + 1.0, short_text(length_m, 2) + " m", {.size = 9.0, .fill = kQuietInk});
}

void draw_north_arrow(Svg& svg, const PlanBox& box) {
    svg.open_group("transform=\"translate(" + px(box.width - 12.0) + " 18)\"");
    svg.raw("<circle cy=\"2\" r=\"16\" fill=\"#ffffff\" fill-opacity=\"0.85\"/>\n");
    svg.path("M0-11L4.5 6L0 3L-4.5 6z", "fill=\"" + std::string(kInk) + "\"");
    svg.text(0.0, 15.0, "N", {.size = 9.0, .fill = kInk, .anchor = Anchor::middle, .bold = true});
    svg.close_group();
}

std::vector<std::vector<Eigen::Vector2d>> table_outlines_px(const SurveyRecord& record, const PlanFrame& frame) {
    const Layout& layout = record.layout;
    std::vector<std::vector<Eigen::Vector2d>> outlines;
    for (const Table& table : layout.tables) {
        std::vector<Eigen::Vector2d> corners;
        for (const int module : table.modules) {
            const std::vector<Eigen::Vector2d> outline = outline_px(frame, layout.modules[at(module)]);
            corners.insert(corners.end(), outline.begin(), outline.end());
        }
        if (!corners.empty()) {
            outlines.push_back(convex_hull(std::move(corners)));
        }
    }
    for (const Module& module : layout.modules) {
        if (module.table == -1) {
            outlines.push_back(outline_px(frame, module));
        }
    }
    return outlines;
}

std::string site_base_path(const SurveyRecord& record) {
    std::string d;
    for (const auto& outline : table_outlines_px(record, site_frame(record))) {
        d += polygon_path(outline);
    }
    return d;
}

void draw_site_plan(Svg& svg, const ReportModel& model, const StringView& string, std::string_view base) {
    const PlanFrame frame = site_frame(*model.record);
    draw_window(svg, kSiteBox);
    svg.raw(base);
    std::string d;
    for (const int module : string.modules) {
        d += polygon_path(outline_px(frame, model.record->layout.modules[at(module)]));
    }
    svg.path(d,
             "fill=\"" + std::string(kThisString) + "\" stroke=\"" + std::string(kThisString) + "\" stroke-width=\"" +
                 px(kFlatPx) + "\"");
    draw_metre_bar(svg, frame, kSiteBox);
    draw_north_arrow(svg, kSiteBox);
}

std::string string_window_definition() {
    return "<clipPath id=\"string-window\"><rect width=\"" + px(kStringBox.width) + "\" height=\"" +
           px(kStringBox.height) + "\"/></clipPath>\n";
}

void draw_string_plan(Svg& svg, const ReportModel& model, const StringView& string) {
    const SurveyRecord& record = *model.record;
    SiteExtent extent;
    for (const int module : string.modules) {
        extent.add(record.layout.modules[at(module)]);
    }
    const PlanFrame frame(extent.low, extent.high, kStringBox);
    draw_window(svg, kStringBox);
    std::string others;
    std::string own;
    std::string own_hatched;
    for (std::size_t m = 0; m < record.layout.modules.size(); ++m) {
        const Module& module = record.layout.modules[m];
        if (module.string != string.string && frame.sees(module.centre_in_site())) {
            others += polygon_path(outline_px(frame, module));
        }
    }
    std::string wire;
    for (const int index : string.modules) {
        const Module& module = record.layout.modules[at(index)];
        (record.modules[at(index)].assessed ? own : own_hatched) += polygon_path(outline_px(frame, module));
        const Eigen::Vector2d centre = frame.to_px(module.centre_in_site());
        wire += (wire.empty() ? "M" : "L") + px(centre.x()) + " " + px(centre.y());
    }
    svg.open_group("clip-path=\"url(#string-window)\"");
    svg.path(others, "fill=\"" + std::string(kOtherModules) + "\" stroke=\"#ffffff\" stroke-width=\"0.5\"");
    svg.close_group();
    svg.path(own, "fill=\"" + std::string(kThisString) + "\" stroke=\"#ffffff\" stroke-width=\"0.6\"");
    svg.path(own_hatched, "fill=\"url(#hatch)\" stroke=\"" + std::string(kQuietInk) + "\" stroke-width=\"0.6\"");
    if (string.string != -1) {
        svg.path(wire, "fill=\"none\" stroke=\"#ffffff\" stroke-width=\"1.1\"");
    }
    for (const int index : string.findings) {
        const Finding& finding = record.findings[at(index)];
        if (finding.module != -1 && finding.abnormality != AbnormalityClass::none &&
            finding.verdict != Verdict::rejected) {
            const Eigen::Vector2d at_px = frame.to_px(position_of_finding(record, finding));
            svg.raw(class_mark_svg(finding.abnormality, at_px.x(), at_px.y(), 0.7));
        }
    }
    if (string.string != -1 && !string.modules.empty()) {
        draw_pole(svg, frame, record.layout.modules[at(string.modules.front())], "+");
        draw_pole(svg, frame, record.layout.modules[at(string.modules.back())], "−");
    }
    draw_metre_bar(svg, frame, kStringBox);
}

}  // namespace heatrow
