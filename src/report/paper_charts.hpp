// Charts for pages, on any canvas.
#pragma once

#include "canvas.hpp"
#include "heatrow/report/report_model.hpp"
#include "picture_tags.hpp"

#include <string>
#include <vector>

namespace heatrow {

// One quantity over the time of the frames; frames that were scored are dots, others rings.
struct ChartPoint {
    UtcTime time{};
    double value = kNaN;
    bool scored = true;
};
struct TimeChart {
    std::string title;  // with the unit
    std::vector<ChartPoint> points;
    double limit = kNaN;         // a dashed line
    bool limit_is_least = true;  // allowed is above it, else below
    std::string limit_text;
};
void draw_time_chart(Canvas& canvas, const TimeChart& chart, const Box& box);

// How many assessed modules have a hottest cell of which difference (at 1000 W/m2): bars, heights by the square root.
void draw_difference_histogram(Canvas& canvas, const ReportModel& model, const Box& box);

}  // namespace heatrow
