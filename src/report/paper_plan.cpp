#include "paper_plan.hpp"

#include "class_mark.hpp"
#include "heatrow/report/number_text.hpp"
#include "paper_ribbon.hpp"
#include "site_plan.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace heatrow {
namespace {

constexpr std::string_view kHealthy = "#cfdcda";
constexpr std::string_view kFrame = "#c9c5b9";

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

// A plan's window at its place on the page.
struct Window {
    PlanFrame frame;
    Box box;

    [[nodiscard]] Eigen::Vector2d place(const Eigen::Vector3d& point) const {
        return frame.to_px(point) + Eigen::Vector2d(box.x, box.y);
    }
    [[nodiscard]] Polyline moved(Polyline outline) const {
        for (Eigen::Vector2d& point : outline) {
            point += Eigen::Vector2d(box.x, box.y);
        }
        return outline;
    }
    [[nodiscard]] Polyline outline(const Module& module) const { return moved(outline_px(frame, module)); }
};

Window site_window(const SurveyRecord& record, const Box& box) {
    const SiteExtent extent = site_extent(record);
    return {PlanFrame(extent.low, extent.high, {box.width, box.height}), box};
}

void draw_scale(Canvas& canvas, const Window& window, double longest) {
    const double length_m = round_length_m(window.frame, longest);
    const double left = window.box.x + 7.0;
    const double right = left + length_m * window.frame.pixels_per_metre();
    const double y = window.box.y + window.box.height - 6.0;
    const std::string words = short_text(length_m, 2) + " m";
    const double width = right - left + 4.2 * static_cast<double>(words.size()) + 10.0;
    canvas.fill(rectangle(left - 4.0, y - 7.5, width, 11.0), "#ffffff");  // modules may lie below
    canvas.stroke({{{left, y - 3.0}, {left, y}, {right, y}, {right, y - 3.0}}}, {.colour = kInk, .width = 0.9});
    canvas.text(right + 4.0, y + 0.8, words, {.size = 7.6, .fill = kInk});
}

void draw_north(Canvas& canvas, const Box& box) {
    const double x = box.x + box.width - 11.0;
    const double y = box.y + 13.0;
    canvas.fill(rectangle(x - 7.0, y - 10.0, 14.0, 24.0), "#ffffff");
    canvas.fill({{x, y - 8.0}, {x + 3.4, y + 4.0}, {x, y + 2.0}, {x - 3.4, y + 4.0}}, kInk);
    canvas.text(x, y + 12.0, "N", {.size = 7.0, .anchor = Anchor::middle, .bold = true});
}

void draw_window(Canvas& canvas, const Box& box) {
    const Polyline edge = rectangle(box.x, box.y, box.width, box.height);
    canvas.fill(edge, "#ffffff");
    canvas.stroke({edge}, {.colour = kFrame, .width = 0.6, .closed = true});
}

void draw_module(Canvas& canvas, const Window& window, const SurveyRecord& record, int index) {
    const ModuleResult& result = record.modules[at(index)];
    const Polyline outline = window.outline(record.layout.modules[at(index)]);
    if (!result.assessed) {
        canvas.fill(outline, "#f6f5f1");
        canvas.stroke(hatch_lines(outline, 3.0), {.colour = "#8b8f94", .width = 0.7});
        canvas.stroke({outline}, {.colour = "#8b8f94", .width = 0.3, .closed = true});
        return;
    }
    canvas.fill(outline, result.abnormality == AbnormalityClass::none ? kHealthy : class_mark(result.abnormality).fill);
    canvas.stroke({outline}, {.colour = "#ffffff", .width = 0.3, .closed = true});
}

// Marks that would lie on each other are pushed apart; a line leads each home.
struct Pin {
    Eigen::Vector2d home;
    Eigen::Vector2d place;
    int finding = 0;
};

void push_apart(std::vector<Pin>& pins, const Box& box, double distance) {
    constexpr int kRounds = 200;
    for (int round = 0; round < kRounds; ++round) {
        bool moved = false;
        for (std::size_t i = 0; i < pins.size(); ++i) {
            for (std::size_t k = i + 1; k < pins.size(); ++k) {
                Eigen::Vector2d apart = pins[k].place - pins[i].place;
                if (apart.squaredNorm() >= distance * distance - 1e-9) {
                    continue;
                }
                const double length = apart.norm();
                apart = length > 1e-6 ? Eigen::Vector2d(apart / length) : Eigen::Vector2d(0.6, -0.8);
                const double push = 0.5 * (distance - length) + 0.01;
                pins[i].place -= push * apart;
                pins[k].place += push * apart;
                moved = true;
            }
        }
        for (Pin& pin : pins) {
            pin.place.x() = std::clamp(pin.place.x(), box.x + 8.0, box.x + box.width - 8.0);
            pin.place.y() = std::clamp(pin.place.y(), box.y + 8.0, box.y + box.height - 8.0);
        }
        if (!moved) {
            return;
        }
    }
}

// A finding's mark with its number in the report beside it.
void draw_pin(Canvas& canvas, const SurveyRecord& record, const Pin& pin) {
    const Finding& finding = record.findings[at(pin.finding)];
    if ((pin.place - pin.home).norm() > 2.0) {
        canvas.stroke({{pin.home, pin.place}}, {.colour = kInk, .width = 0.7});
        canvas.fill(rectangle(pin.home.x() - 1.2, pin.home.y() - 1.2, 2.4, 2.4), kInk);
    }
    draw_class_mark(canvas, finding.abnormality, pin.place.x(), pin.place.y(), 0.62);
    const std::string number = std::to_string(pin.finding + 1);
    const double width = 4.3 * static_cast<double>(number.size()) + 3.0;
    const Eigen::Vector2d tag = pin.place + Eigen::Vector2d(5.0, -8.5);
    canvas.fill(rectangle(tag.x(), tag.y(), width, 8.0), "#ffffff");
    canvas.text(tag.x() + 0.5 * width, tag.y() + 6.4, number, {.size = 6.8, .anchor = Anchor::middle, .bold = true});
}

}  // namespace

double site_plan_height(const ReportModel& model, double width, double most) {
    const SiteExtent extent = site_extent(*model.record);
    const Eigen::Vector2d size = (extent.high - extent.low).cwiseMax(1.0);
    constexpr double kLeast = 150.0;
    return std::clamp((width - 24.0) * size.y() / size.x() + 44.0, kLeast, most);
}

void draw_site_plan(Canvas& canvas, const ReportModel& model, const Box& box) {
    const SurveyRecord& record = *model.record;
    draw_window(canvas, box);
    const Window window = site_window(record, box);
    for (std::size_t i = 0; i < record.modules.size(); ++i) {
        draw_module(canvas, window, record, static_cast<int>(i));
    }
    constexpr std::size_t kMostPins = 150;  // more would hide the plan
    std::vector<Pin> pins;
    for (std::size_t i = 0; i < record.findings.size() && pins.size() < kMostPins; ++i) {
        const Eigen::Vector3d position = position_of_finding(record, record.findings[i]);
        if (position.allFinite() && record.findings[i].verdict != Verdict::rejected) {
            pins.push_back({window.place(position), window.place(position), static_cast<int>(i)});
        }
    }
    push_apart(pins, box, 14.0);
    for (std::size_t i = pins.size(); i-- > 0;) {  // the gravest last, on top
        draw_pin(canvas, record, pins[i]);
    }
    draw_scale(canvas, window, 90.0);
    draw_north(canvas, box);
}

void draw_site_chip(Canvas& canvas, const ReportModel& model, const Finding& finding, const Box& box) {
    const SurveyRecord& record = *model.record;
    draw_window(canvas, box);
    const Window window = site_window(record, box);
    for (const auto& outline : table_outlines_px(record, window.frame)) {
        canvas.fill(window.moved(outline), kOtherModules);
    }
    if (finding.string != -1) {
        for (const int module : record.layout.strings[at(finding.string)].modules) {
            const Polyline outline = window.outline(record.layout.modules[at(module)]);
            canvas.fill(outline, kThisString);
            canvas.stroke({outline}, {.colour = kThisString, .width = 0.4, .closed = true});
        }
    }
    const Eigen::Vector3d position = position_of_finding(record, finding);
    if (position.allFinite()) {
        const Eigen::Vector2d place = window.place(position);
        draw_class_mark(canvas, finding.abnormality, place.x(), place.y(), 0.75);
    }
    draw_scale(canvas, window, 50.0);
    draw_north(canvas, box);
}

void draw_neighbour_chip(Canvas& canvas, const ReportModel& model, const Finding& finding, const Box& box) {
    const SurveyRecord& record = *model.record;
    draw_window(canvas, box);
    const Eigen::Vector3d middle = position_of_finding(record, finding);
    const int around = finding.module >= 0 ? finding.module : record.layout.strings[at(finding.string)].modules.front();
    const ModuleType& type = record.layout.type_of(record.layout.modules[at(around)]);
    const double reach_m = 1.15 * std::max(type.width.value(), type.height.value());
    const double aspect = box.width / box.height;
    const Eigen::Vector2d reach(reach_m * std::max(aspect, 1.0), reach_m * std::max(1.0 / aspect, 1.0));
    const Window window{PlanFrame(middle.head<2>() - reach, middle.head<2>() + reach, {box.width, box.height}), box};
    std::set<int> own;
    if (finding.module >= 0) {
        own.insert(finding.module);
    } else {
        const auto& members = record.layout.strings[at(finding.string)].modules;
        own.insert(members.begin(), members.end());
    }
    for (std::size_t i = 0; i < record.layout.modules.size(); ++i) {
        const Module& module = record.layout.modules[i];
        const Polyline outline = window.outline(module);
        const bool whole = std::all_of(outline.begin(), outline.end(), [&box](const Eigen::Vector2d& point) {
            return point.x() > box.x + 1.0 && point.y() > box.y + 1.0 && point.x() < box.x + box.width - 1.0 &&
                   point.y() < box.y + box.height - 1.0;
        });
        if (!whole) {
            continue;
        }
        const bool is_own = own.contains(static_cast<int>(i));
        canvas.fill(outline, is_own ? class_mark(finding.abnormality).fill : kHealthy);
        canvas.stroke({outline}, {.colour = is_own ? kInk : std::string_view("#ffffff"), .width = 0.8, .closed = true});
        const Box around_it = box_around(outline);
        const Eigen::Vector2d centre = window.place(module.centre_in_site());
        constexpr double kSize = 4.6;
        canvas.text(centre.x(),
                    centre.y() + 1.7,
                    fit_text(module.id, around_it.width + 1.5, kSize),
                    {.size = kSize,
                     .fill = is_own ? class_mark(finding.abnormality).number_fill : kInk,
                     .anchor = Anchor::middle,
                     .bold = is_own});
    }
    draw_scale(canvas, window, 50.0);
    draw_north(canvas, box);
}

void draw_module_chip(Canvas& canvas, const ReportModel& model, const Finding& finding, const Box& box) {
    const SurveyRecord& record = *model.record;
    const ModuleType& type = record.layout.type_of(record.layout.modules[at(finding.module)]);
    constexpr double kNumbers = 11.0;  // room for rows and columns
    const double scale =
        std::min((box.width - kNumbers) / type.width.value(), (box.height - kNumbers) / type.height.value());
    const Eigen::Vector2d corner(box.x + kNumbers, box.y + kNumbers);
    draw_cells(canvas, model, finding.module, corner, scale);
    draw_finding_outline(canvas, record, finding, corner, scale);
    const auto middle = [&](CellIndex cell) {
        const auto corners = type.cell_corners(cell);
        return Eigen::Vector2d(corner + scale * 0.5 * (corners[0] + corners[2]));
    };
    const int step = type.rows > 12 ? 2 : 1;
    for (int row = 0; row < type.rows; row += step) {
        canvas.text(corner.x() - 3.0,
                    middle({row, 0}).y() + 2.0,
                    std::to_string(row + 1),
                    {.size = 5.6, .fill = kQuietInk, .anchor = Anchor::end});
    }
    for (int column = 0; column < type.columns; ++column) {
        canvas.text(middle({0, column}).x(),
                    corner.y() - 3.0,
                    std::to_string(column + 1),
                    {.size = 5.6, .fill = kQuietInk, .anchor = Anchor::middle});
    }
}

}  // namespace heatrow
