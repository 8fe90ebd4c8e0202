#include "paper_ribbon.hpp"

#include "class_mark.hpp"
#include "heatrow/report/number_text.hpp"
#include "heatrow/report/part_outlines.hpp"
#include "shown_cells.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace heatrow {
namespace {

constexpr double kGap = 2.5;       // between modules
constexpr double kRail = 15.0;     // above them, for marks
constexpr double kFoot = 20.0;     // below them, for wire, position and figure
constexpr double kTallest = 52.0;  // of a module
constexpr double kLeastWidth = 16.0;
constexpr double kEnds = 12.0;  // left and right, for the wire's ends

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

// How the modules of a string are broken into lines.
struct Wrap {
    double scale = 1.0;  // px per metre
    double pitch = 0.0;
    double height = 0.0;  // of the tallest module
    int per_line = 1;
    int lines = 1;

    [[nodiscard]] double line_height() const { return kRail + height + kFoot; }
};

Wrap wrap_for(const ReportModel& model, const StringView& string, double width) {
    const Layout& layout = model.record->layout;
    double wide_m = 0.1;
    double tall_m = 0.1;
    for (const int module : string.modules) {
        const ModuleType& type = layout.type_of(layout.modules[at(module)]);
        wide_m = std::max(wide_m, type.width.value());
        tall_m = std::max(tall_m, type.height.value());
    }
    const int count = std::max(1, static_cast<int>(string.modules.size()));
    const double room = width - 2.0 * kEnds + kGap;
    Wrap wrap;
    const int most = std::max(1, static_cast<int>(room / (kLeastWidth + kGap)));
    wrap.lines = (count + most - 1) / most;
    wrap.per_line = (count + wrap.lines - 1) / wrap.lines;
    wrap.scale = std::min(kTallest / tall_m, (room / wrap.per_line - kGap) / wide_m);
    wrap.pitch = wide_m * wrap.scale + kGap;
    wrap.height = tall_m * wrap.scale;
    return wrap;
}

void draw_pole(Canvas& canvas, double x, double y, std::string_view sign) {
    Polyline disc;
    constexpr int kSides = 24;
    for (int i = 0; i < kSides; ++i) {
        const double turn = 6.283185307179586 * i / kSides;
        disc.emplace_back(x + 4.5 * std::cos(turn), y + 4.5 * std::sin(turn));
    }
    canvas.fill(disc, kThisString);
    canvas.text(x, y + 2.7, sign, {.size = 7.5, .fill = "#ffffff", .anchor = Anchor::middle, .bold = true});
}

// The line's wire with the poles at the ends of the string.
void draw_wire(Canvas& canvas, double left, double right, double y, bool first, bool last) {
    canvas.stroke({{{left - 7.0, y}, {right + 7.0, y}}}, {.colour = kThisString, .width = 1.3});
    if (first) {
        draw_pole(canvas, left - 7.5, y, "+");
    }
    if (last) {
        draw_pole(canvas, right + 7.5, y, "−");
    }
}

}  // namespace

void draw_cells(Canvas& canvas, const ReportModel& model, int module, const Eigen::Vector2d& corner, double scale) {
    const SurveyRecord& record = *model.record;
    const ModuleType& type = record.layout.type_of(record.layout.modules[at(module)]);
    const ModuleResult& result = record.modules[at(module)];
    const Polyline outline = rectangle(corner.x(), corner.y(), scale * type.width.value(), scale * type.height.value());
    if (!shows_cells(result)) {
        canvas.fill(outline, "#f6f5f1");
        canvas.stroke(hatch_lines(outline, 3.2), {.colour = "#8b8f94", .width = 0.8});
        canvas.stroke({outline}, {.colour = kInk, .width = 0.6, .closed = true});
        return;
    }
    canvas.fill(outline, "#ffffff");
    const double gap = std::min(0.25, 0.04 * scale);
    const auto placed = [&](int row, int column) {
        const auto corners = type.cell_corners({row, column});
        const Eigen::Vector2d low = corner + scale * corners[0] + Eigen::Vector2d::Constant(gap);
        const Eigen::Vector2d high = corner + scale * corners[2] - Eigen::Vector2d::Constant(gap);
        return std::pair(low, high);
    };
    const auto difference_at = [&](int row, int column) {
        return result.cells[at(type.cell_number({row, column}))].delta_t_1000;
    };
    std::vector<Polyline> chevrons;
    for (int row = 0; row < type.rows; ++row) {
        // Neighbours of one colour are filled together: healthy modules have few colours, and a report has 100,000
        // cells.
        for (int column = 0, next = 0; column < type.columns; column = next) {
            const auto [low, high] = placed(row, column);
            const KelvinDelta difference = difference_at(row, column);
            next = column + 1;
            if (!difference.is_known()) {
                const Eigen::Vector2d size = high - low;
                canvas.stroke(hatch_lines(rectangle(low.x(), low.y(), size.x(), size.y()), 2.0),
                              {.colour = "#8b8f94", .width = 0.4});
                continue;
            }
            const int step = model.scale.step_of(difference);
            while (next < type.columns && difference_at(row, next).is_known() &&
                   model.scale.step_of(difference_at(row, next)) == step) {
                ++next;
            }
            const Eigen::Vector2d size = placed(row, next - 1).second - low;
            canvas.fill(rectangle(low.x(), low.y(), size.x(), size.y()), to_hex(scale_colours()[at(step)]));
        }
        for (int column = 0; column < type.columns; ++column) {
            const KelvinDelta difference = difference_at(row, column);
            if (difference.is_known() && model.scale.is_clipped(difference)) {
                const auto [low, high] = placed(row, column);
                const Eigen::Vector2d middle = 0.5 * (low + high);
                const double reach = 0.28 * (high - low).minCoeff();
                const double tip = difference.value() > 0.0 ? -reach : reach;
                chevrons.push_back({{middle.x() - reach, middle.y() - 0.5 * tip},
                                    {middle.x(), middle.y() + 0.5 * tip},
                                    {middle.x() + reach, middle.y() - 0.5 * tip}});
            }
        }
    }
    std::vector<Polyline> between_columns;
    for (int column = 1; column < type.columns; ++column) {
        const double x = placed(0, column).first.x() - gap;
        between_columns.push_back({{x, placed(0, column).first.y()}, {x, placed(type.rows - 1, column).second.y()}});
    }
    canvas.stroke(between_columns, {.colour = "#ffffff", .width = 2.0 * gap});
    if (!chevrons.empty()) {
        canvas.stroke(chevrons, {.colour = "#ffffff", .width = std::min(1.0, 0.018 * scale)});
    }
    canvas.stroke({outline}, {.colour = kInk, .width = 0.6, .closed = true});
}

void draw_finding_outline(
    Canvas& canvas, const SurveyRecord& record, const Finding& finding, const Eigen::Vector2d& corner, double scale) {
    std::vector<Polyline> outlines;
    for (const auto& part : part_outlines(record, finding)) {
        Polyline placed;
        for (const Eigen::Vector2d& point : part) {
            placed.push_back(corner + scale * point);
        }
        outlines.push_back(std::move(placed));
    }
    const double width = std::min(1.3, 0.03 * scale);
    canvas.stroke(outlines, {.colour = "#ffffff", .width = 2.2 * width, .closed = true});
    canvas.stroke(outlines, {.colour = kInk, .width = width, .closed = true});
}

double paper_ribbon_height(const ReportModel& model, const StringView& string, double width) {
    const Wrap wrap = wrap_for(model, string, width);
    return wrap.lines * wrap.line_height();
}

double draw_paper_ribbon(Canvas& canvas,
                         const ReportModel& model,
                         const StringView& string,
                         const Eigen::Vector2d& corner,
                         double width,
                         int marked) {
    const SurveyRecord& record = *model.record;
    const Wrap wrap = wrap_for(model, string, width);
    const int count = static_cast<int>(string.modules.size());
    for (int place = 0; place < count; ++place) {
        const int line = place / wrap.per_line;
        const double x = corner.x() + kEnds + (place % wrap.per_line) * wrap.pitch;
        const double top = corner.y() + line * wrap.line_height() + kRail;
        const double foot = top + wrap.height;
        if (place % wrap.per_line == 0) {
            const int here = std::min(wrap.per_line, count - place);
            const double right = x + here * wrap.pitch - kGap;
            canvas.fill(rectangle(x - 3.0, top - 2.5, right - x + 6.0, wrap.height + 5.0), kBand);
            if (string.string != -1) {
                draw_wire(canvas, x, right, foot + 5.0, place == 0, place + here == count);
            }
        }
        const int index = string.modules[at(place)];
        const Module& module = record.layout.modules[at(index)];
        const ModuleType& type = record.layout.type_of(module);
        const Eigen::Vector2d low(x + 0.5 * (wrap.pitch - kGap - type.width.value() * wrap.scale),
                                  foot - type.height.value() * wrap.scale);
        draw_cells(canvas, model, index, low, wrap.scale);
        const double middle = x + 0.5 * (wrap.pitch - kGap);
        if (index == marked) {
            canvas.stroke({rectangle(low.x() - 1.6,
                                     low.y() - 1.6,
                                     type.width.value() * wrap.scale + 3.2,
                                     type.height.value() * wrap.scale + 3.2)},
                          {.colour = kInk, .width = 1.8, .closed = true});
        }
        double mark_x = middle;
        for (const int number : string.findings) {
            const Finding& finding = record.findings[at(number)];
            if (finding.module == index) {
                draw_finding_outline(canvas, record, finding, low, wrap.scale);
                draw_class_mark(canvas, finding.abnormality, mark_x, top - 8.5, 0.5);
                mark_x += 9.5;
            }
        }
        const std::string position = std::to_string(module.position > 0 ? module.position : place + 1);
        canvas.text(middle,
                    foot + 15.5,
                    position,
                    {.size = index == marked ? 7.4 : 6.2,
                     .fill = index == marked ? kInk : kQuietInk,
                     .anchor = Anchor::middle,
                     .bold = index == marked});
    }
    return wrap.lines * wrap.line_height();
}

void draw_difference_bar(Canvas& canvas, const DifferenceScale& scale, double x, double y, double width) {
    constexpr double kHeight = 7.0;
    const double step = width / kScaleSteps;
    for (int i = 0; i < kScaleSteps; ++i) {
        canvas.fill(rectangle(x + i * step, y, step + 0.2, kHeight), to_hex(scale_colours()[at(i)]));
    }
    canvas.stroke({rectangle(x, y, width, kHeight)}, {.colour = kInk, .width = 0.5, .closed = true});
    for (const double share : {-1.0, -0.5, 0.0, 0.5, 1.0}) {
        const double value = scale.limit().value() * share;
        const double tick = x + 0.5 * width * (share + 1.0);
        canvas.stroke({{{tick, y + kHeight}, {tick, y + kHeight + 2.5}}}, {.colour = kInk, .width = 0.5});
        canvas.text(tick,
                    y + kHeight + 9.5,
                    signed_text(value, value == std::floor(value) ? 0 : 1) + (share == 1.0 ? " K" : ""),
                    {.size = 6.4,
                     .anchor = share == -1.0  ? Anchor::start
                               : share == 1.0 ? Anchor::end
                                              : Anchor::middle});
    }
}

void draw_temperature_bar(Canvas& canvas, const TemperatureScale& scale, double x, double y, double width) {
    constexpr double kHeight = 7.0;
    constexpr int kSteps = 96;
    const double step = width / kSteps;
    for (int i = 0; i < kSteps; ++i) {
        canvas.fill(rectangle(x + i * step, y, step + 0.2, kHeight),
                    to_hex(palette_colour(scale.palette(), (i + 0.5) / kSteps)));
    }
    canvas.stroke({rectangle(x, y, width, kHeight)}, {.colour = kInk, .width = 0.5, .closed = true});
    for (const double value : scale_ticks(scale.low().value(), scale.high().value())) {
        const double tick = x + width * scale.share_of(Celsius(value));
        canvas.stroke({{{tick, y + kHeight}, {tick, y + kHeight + 2.5}}}, {.colour = kInk, .width = 0.5});
        canvas.text(tick, y + kHeight + 9.5, short_text(value, 1), {.size = 6.4, .anchor = Anchor::middle});
    }
    canvas.text(x + width, y - 3.0, "°C, apparent", {.size = 6.4, .fill = kQuietInk, .anchor = Anchor::end});
}

}  // namespace heatrow
