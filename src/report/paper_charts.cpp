#include "paper_charts.hpp"

#include "conditions_text.hpp"
#include "heatrow/report/number_text.hpp"
#include "heatrow/report/temperature_scale.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace heatrow {
namespace {

constexpr std::string_view kGrid = "#e3e0d8";
constexpr TextStyle kTick = {.size = 6.6, .fill = kQuietInk};

// Where values lie in the chart.
struct Axis {
    double low = 0.0;
    double high = 1.0;
    double from = 0.0;  // px of low
    double to = 1.0;    // px of high
    [[nodiscard]] double at(double value) const { return from + (to - from) * (value - low) / (high - low); }
};

Axis value_axis(const TimeChart& chart, const Box& box) {
    double low = std::isfinite(chart.limit) ? chart.limit : HUGE_VAL;
    double high = std::isfinite(chart.limit) ? chart.limit : -HUGE_VAL;
    for (const ChartPoint& point : chart.points) {
        if (std::isfinite(point.value)) {
            low = std::min(low, point.value);
            high = std::max(high, point.value);
        }
    }
    const double air = std::max(0.12 * (high - low), 0.02 * std::max(std::abs(high), 1.0));
    low = low >= 0.0 ? std::max(0.0, low - air) : low - air;
    return {low, high + air, box.y + box.height, box.y};
}

// Times on the axis: round minutes or hours, about five of them.
std::vector<UtcTime> time_ticks(UtcTime first, UtcTime last) {
    using namespace std::chrono;
    const auto span = duration_cast<seconds>(last - first).count();
    std::int64_t step = 86400;
    for (const std::int64_t fits : {10, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200}) {
        if (span / fits <= 7) {
            step = fits;
            break;
        }
    }
    std::vector<UtcTime> ticks;
    const auto start = duration_cast<seconds>(first.time_since_epoch()).count();
    for (std::int64_t at = (start + step - 1) / step * step; UtcTime(seconds(at)) <= last; at += step) {
        ticks.emplace_back(seconds(at));
    }
    return ticks;
}

void draw_dot(Canvas& canvas, double x, double y, bool filled) {
    constexpr double kReach = 1.5;
    const Polyline diamond = {{x, y - kReach}, {x + kReach, y}, {x, y + kReach}, {x - kReach, y}};
    canvas.fill(diamond, filled ? kThisString : std::string_view("#ffffff"));
    if (!filled) {
        canvas.stroke({diamond}, {.colour = "#a33b00", .width = 0.7, .closed = true});
    }
}

void draw_limit(Canvas& canvas, const TimeChart& chart, const Axis& axis, const Box& box) {
    if (!std::isfinite(chart.limit)) {
        return;
    }
    const double y = axis.at(chart.limit);
    const double far = chart.limit_is_least ? box.y + box.height : box.y;
    const Polyline outside = rectangle(box.x, std::min(y, far), box.width, std::abs(far - y));
    canvas.fill(outside, "#f3ece6");
    canvas.stroke({{{box.x, y}, {box.x + box.width, y}}}, {.colour = "#a33b00", .width = 0.9, .dash = 3.0});
}

// At the right end of the limit's line, or at its left end or middle where points would cross it.
void draw_limit_label(
    Canvas& canvas, const TimeChart& chart, const Axis& axis, const Box& box, const Polyline& points) {
    if (!std::isfinite(chart.limit)) {
        return;
    }
    const double line = axis.at(chart.limit);
    const double y = std::clamp(chart.limit_is_least ? line + 8.0 : line - 3.0, box.y + 7.0, box.y + box.height - 2.0);
    const double width = 3.9 * static_cast<double>(chart.limit_text.size());
    const auto crossed = [&](double right) {
        return std::any_of(points.begin(), points.end(), [&](const Eigen::Vector2d& point) {
            return point.x() > right - width - 3.0 && point.x() < right + 3.0 && point.y() > y - 9.0 &&
                   point.y() < y + 3.0;
        });
    };
    double place = box.x + box.width - 3.0;
    for (const double right : {place, box.x + width + 5.0, box.x + 0.5 * (box.width + width)}) {
        if (!crossed(right)) {
            place = right;
            break;
        }
    }
    canvas.text(place, y, chart.limit_text, {.size = 6.8, .fill = "#a33b00", .anchor = Anchor::end, .bold = true});
}

}  // namespace

void draw_time_chart(Canvas& canvas, const TimeChart& chart, const Box& outer) {
    constexpr double kLeft = 30.0;
    constexpr double kHead = 14.0;
    constexpr double kFoot = 14.0;
    const Box box{outer.x + kLeft, outer.y + kHead, outer.width - kLeft, outer.height - kHead - kFoot};
    canvas.text(outer.x, outer.y + 7.5, chart.title, {.size = 8.2, .bold = true});
    const bool known = std::any_of(
        chart.points.begin(), chart.points.end(), [](const ChartPoint& point) { return std::isfinite(point.value); });
    if (!known) {
        canvas.text(box.x, box.y + 12.0, "not recorded", {.size = 8.0, .fill = kQuietInk});
        return;
    }
    const Axis values = value_axis(chart, box);
    draw_limit(canvas, chart, values, box);
    for (const double tick : scale_ticks(values.low, values.high)) {
        const double y = values.at(tick);
        canvas.stroke({{{box.x, y}, {box.x + box.width, y}}}, {.colour = kGrid, .width = 0.5});
        TextStyle style = kTick;
        style.anchor = Anchor::end;
        canvas.text(box.x - 4.0, y + 2.3, short_text(tick, 2), style);
    }
    const auto [first, last] =
        std::minmax_element(chart.points.begin(), chart.points.end(), [](const ChartPoint& a, const ChartPoint& b) {
            return a.time < b.time;
        });
    const auto seconds_of = [](UtcTime time) { return static_cast<double>(time.time_since_epoch().count()) / 1000.0; };
    const Axis times{seconds_of(first->time),
                     std::max(seconds_of(last->time), seconds_of(first->time) + 1.0),
                     box.x + 4.0,
                     box.x + box.width - 4.0};
    for (const UtcTime tick : time_ticks(first->time, last->time)) {
        const double x = times.at(seconds_of(tick));
        canvas.stroke({{{x, box.y + box.height}, {x, box.y + box.height + 2.5}}}, {.colour = kQuietInk, .width = 0.5});
        TextStyle style = kTick;
        style.anchor = Anchor::middle;
        canvas.text(x, box.y + box.height + 9.5, date_time_text(tick).substr(11), style);
    }
    Polyline points;
    for (const ChartPoint& point : chart.points) {
        if (std::isfinite(point.value)) {
            points.emplace_back(times.at(seconds_of(point.time)), values.at(point.value));
            draw_dot(canvas, points.back().x(), points.back().y(), point.scored);
        }
    }
    draw_limit_label(canvas, chart, values, box, points);
    canvas.stroke({{{box.x, box.y}, {box.x, box.y + box.height}, {box.x + box.width, box.y + box.height}}},
                  {.colour = kQuietInk, .width = 0.6});
}

void draw_difference_histogram(Canvas& canvas, const ReportModel& model, const Box& outer) {
    constexpr double kLeft = 30.0;
    constexpr double kFoot = 24.0;
    const Box box{outer.x + kLeft, outer.y, outer.width - kLeft, outer.height - kFoot};
    std::map<int, int> counts;  // by whole kelvin
    for (const ModuleResult& result : model.record->modules) {
        if (result.assessed && result.hottest_cell_delta_t_1000.is_known()) {
            ++counts[static_cast<int>(std::floor(result.hottest_cell_delta_t_1000.value()))];
        }
    }
    if (counts.empty()) {
        canvas.text(box.x, box.y + 12.0, "No module was assessed.", {.size = 8.0, .fill = kQuietInk});
        return;
    }
    const int low = std::min(0, counts.begin()->first);
    const int high = std::max(counts.rbegin()->first + 1, low + 10);
    int most = 1;
    for (const auto& [kelvin, count] : counts) {
        most = std::max(most, count);
    }
    const Axis across{static_cast<double>(low), static_cast<double>(high), box.x, box.x + box.width};
    const double root = std::sqrt(static_cast<double>(most));
    const double room = box.height - 12.0;  // for the number over the highest bar
    for (const auto& [kelvin, count] : counts) {
        const double left = across.at(kelvin) + 0.6;
        const double right = across.at(kelvin + 1) - 0.6;
        const double height = std::max(1.0, room * std::sqrt(static_cast<double>(count)) / root);
        const KelvinDelta middle(kelvin + 0.5);
        const Polyline bar = rectangle(left, box.y + box.height - height, right - left, height);
        canvas.fill(bar, to_hex(scale_colours()[static_cast<std::size_t>(model.scale.step_of(middle))]));
        canvas.stroke({bar}, {.colour = kInk, .width = 0.5, .closed = true});
        if (right - left > 7.0) {
            canvas.text(0.5 * (left + right),
                        box.y + box.height - height - 2.5,
                        std::to_string(count),
                        {.size = 6.2, .anchor = Anchor::middle});
        }
    }
    canvas.stroke({{{box.x, box.y + box.height}, {box.x + box.width, box.y + box.height}}},
                  {.colour = kQuietInk, .width = 0.6});
    for (const double tick : scale_ticks(low, high)) {
        const double x = across.at(tick);
        canvas.stroke({{{x, box.y + box.height}, {x, box.y + box.height + 2.5}}}, {.colour = kQuietInk, .width = 0.5});
        TextStyle style = kTick;
        style.anchor = Anchor::middle;
        canvas.text(x, box.y + box.height + 9.5, signed_text(tick, 0), style);
    }
    canvas.text(box.x + box.width,
                box.y + box.height + 20.0,
                "K at 1000 W/m², hottest cell of each assessed module; heights by the square root of the count",
                {.size = 6.8, .fill = kQuietInk, .anchor = Anchor::end});
}

}  // namespace heatrow
