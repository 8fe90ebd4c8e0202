// The string ribbon for pages, on any canvas: the modules of a string in wiring order, their cells coloured by
// difference. And the scales that go with it.
#pragma once

#include "canvas.hpp"
#include "heatrow/report/report_model.hpp"
#include "heatrow/report/temperature_scale.hpp"
#include "picture_tags.hpp"

#include <Eigen/Core>

namespace heatrow {

// One module's cells with outline and substring borders, its top left corner there, px per metre; hatched where it was
// not assessed.
void draw_cells(Canvas& canvas, const ReportModel& model, int module, const Eigen::Vector2d& corner, double scale);
// Around the cells of a finding.
void draw_finding_outline(
    Canvas& canvas, const SurveyRecord& record, const Finding& finding, const Eigen::Vector2d& corner, double scale);

// The ribbon over that width; `marked` is a module drawn as the one that is meant, or -1. Returns its height.
double draw_paper_ribbon(Canvas& canvas,
                         const ReportModel& model,
                         const StringView& string,
                         const Eigen::Vector2d& corner,
                         double width,
                         int marked);
[[nodiscard]] double paper_ribbon_height(const ReportModel& model, const StringView& string, double width);

// Bars of colour with their numbers; the height is about 24.
void draw_difference_bar(Canvas& canvas, const DifferenceScale& scale, double x, double y, double width);
void draw_temperature_bar(Canvas& canvas, const TemperatureScale& scale, double x, double y, double width);

}  // namespace heatrow
