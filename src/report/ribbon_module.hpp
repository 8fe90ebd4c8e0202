// One module of a ribbon: cell grid, substring borders, findings outlined; hatched with the reason if not assessed.
#pragma once

#include "heatrow/report/report_model.hpp"
#include "heatrow/report/string_ribbon.hpp"
#include "shown_cells.hpp"
#include "svg.hpp"

#include <Eigen/Core>

#include <string>
#include <vector>

namespace heatrow {

class RibbonModule {
  public:
    // pixels_per_metre: scale of the drawing.
    RibbonModule(const ReportModel& model, int module, double pixels_per_metre);

    [[nodiscard]] double width() const;
    [[nodiscard]] double height() const;
    // Drawn with the outline's top left corner at the origin.
    void draw(Svg& svg, RibbonUse use) const;
    // Outlines of the findings' cells, to be drawn above all cells.
    void draw_finding_outlines(Svg& svg) const;
    // Middle of the upper edge of a finding's cells, from the outline's corner.
    [[nodiscard]] Eigen::Vector2d leader_foot(const Finding& finding) const;

  private:
    [[nodiscard]] bool shows_cells() const { return heatrow::shows_cells(result_); }
    [[nodiscard]] Eigen::Vector2d cell_low(int cell) const;   // top left, px
    [[nodiscard]] Eigen::Vector2d cell_high(int cell) const;  // bottom right, px
    void draw_cells(Svg& svg) const;
    void draw_cell_glyphs(Svg& svg) const;
    void draw_substring_borders(Svg& svg) const;
    void draw_reason(Svg& svg, const Eigen::Vector2d& low, const Eigen::Vector2d& high) const;
    void draw_reason_on_unseen_cells(Svg& svg) const;

    const ReportModel& model_;
    const Module& module_;
    const ModuleResult& result_;
    const ModuleType& type_;
    double scale_;
    int index_;
};

}  // namespace heatrow
