// Plans: where modules lie, north up.
#pragma once

#include "heatrow/report/report_model.hpp"
#include "svg.hpp"

#include <Eigen/Core>

#include <limits>
#include <string>
#include <vector>

namespace heatrow {

// Size of a plan's window, px.
struct PlanBox {
    double width = 0.0;
    double height = 0.0;
};
inline constexpr PlanBox kSiteBox = {250.0, 104.0};
inline constexpr PlanBox kStringBox = {250.0, 118.0};

// Ground that modules cover, east and north, m.
struct SiteExtent {
    Eigen::Vector2d low{std::numeric_limits<double>::max(), std::numeric_limits<double>::max()};
    Eigen::Vector2d high{std::numeric_limits<double>::lowest(), std::numeric_limits<double>::lowest()};
    void add(const Module& module);
};
SiteExtent site_extent(const SurveyRecord& record);

// East-north metres to a window: north up, one scale, content in the middle.
class PlanFrame {
  public:
    PlanFrame(const Eigen::Vector2d& low_in_site, const Eigen::Vector2d& high_in_site, const PlanBox& box);
    [[nodiscard]] Eigen::Vector2d to_px(const Eigen::Vector3d& point_in_site) const;
    [[nodiscard]] double pixels_per_metre() const { return scale_; }
    [[nodiscard]] bool sees(const Eigen::Vector3d& point_in_site) const;

  private:
    Eigen::Vector2d middle_;
    PlanBox box_;
    double scale_;
};

std::vector<Eigen::Vector2d> outline_px(const PlanFrame& frame, const Module& module);
// Every table's outline (convex), and every module without a table.
std::vector<std::vector<Eigen::Vector2d>> table_outlines_px(const SurveyRecord& record, const PlanFrame& frame);
// The longest of 1, 2, 5, 10, 20, ... m that is at most `longest_px` long.
double round_length_m(const PlanFrame& frame, double longest_px);
// A bar of a round length, at the lower left.
void draw_metre_bar(Svg& svg, const PlanFrame& frame, const PlanBox& box);
void draw_north_arrow(Svg& svg, const PlanBox& box);

// The window of the whole site.
PlanFrame site_frame(const SurveyRecord& record);
// All tables (and modules without a table) as one path in that window.
std::string site_base_path(const SurveyRecord& record);

// The string within its site; `base` is the markup that shows the site (a path or a use element).
void draw_site_plan(Svg& svg, const ReportModel& model, const StringView& string, std::string_view base);
// The clip path `string-window` that the string's plan refers to, to go into a defs element.
std::string string_window_definition();
// The string's own modules with its wiring, first and last position and the marks of its findings.
void draw_string_plan(Svg& svg, const ReportModel& model, const StringView& string);

}  // namespace heatrow
