// Plans for pages, on any canvas: north up, one scale.
#pragma once

#include "canvas.hpp"
#include "heatrow/report/report_model.hpp"
#include "picture_tags.hpp"

#include <Eigen/Core>

namespace heatrow {

// The whole site: modules by class, findings as marks with their numbers (from 1, in the record's order).
void draw_site_plan(Canvas& canvas, const ReportModel& model, const Box& box);
// How high a plan of the site wants to be at that width.
double site_plan_height(const ReportModel& model, double width, double most);

// Where a finding is on site: tables, its string, its mark.
void draw_site_chip(Canvas& canvas, const ReportModel& model, const Finding& finding, const Box& box);
// The modules around a finding's module with their ids.
void draw_neighbour_chip(Canvas& canvas, const ReportModel& model, const Finding& finding, const Box& box);
// The finding's module alone: cells by difference, rows and columns numbered, as seen from the front.
void draw_module_chip(Canvas& canvas, const ReportModel& model, const Finding& finding, const Box& box);

}  // namespace heatrow
