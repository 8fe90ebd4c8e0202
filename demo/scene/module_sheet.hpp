// One type of module as a sheet of glass, encapsulant and silicon on its rails, ready to be solved for any sources.
#pragma once

#include "heat_raster.hpp"
#include "heat_spec.hpp"
#include "panel_type.hpp"
#include "plant.hpp"
#include "sheet.hpp"

#include <vector>

namespace scene {

// Part of a node that a cell covers.
struct CellPart {
    std::size_t node = 0;
    double share = 0.0;  // of the node's area
};

class ModuleSheet {
  public:
    // loss: to the air from both faces, W/m2K; top: which way the rails run in plane coordinates.
    ModuleSheet(const PanelType& type, Top top, const HeatSpec& spec, double loss_w_m2k);

    // Kelvin over air for W/m2 at each node.
    [[nodiscard]] HeatMap solve(const std::vector<double>& sources_w_m2) const;
    // The same for one cell heated evenly with 1 W/m2, without what is below a thousandth of the peak.
    struct Response {
        int x0 = 0, y0 = 0, nx = 0, ny = 0;
        std::vector<float> values;
    };
    [[nodiscard]] Response response_of_cell(int cell) const;

    [[nodiscard]] const std::vector<CellPart>& cell_parts(int cell) const {
        return parts_[static_cast<std::size_t>(cell)];
    }
    void add_to_cell(std::vector<double>& sources_w_m2, int cell, double w_m2) const;
    // Share of each node that silicon (or the film) covers.
    [[nodiscard]] const std::vector<double>& cell_cover() const { return cover_; }

    [[nodiscard]] HeatMap empty_map() const;
    [[nodiscard]] std::size_t size() const { return cover_.size(); }
    [[nodiscard]] double loss_w_m2k() const { return loss_w_m2k_; }
    [[nodiscard]] Eigen::Vector2d node_at(std::size_t node) const;

  private:
    [[nodiscard]] SheetGrid make_grid(const PanelType& type, Top top, const HeatSpec& spec) const;

    HeatMap raster_;  // its size and pitch; no values
    double loss_w_m2k_;
    std::vector<std::vector<CellPart>> parts_;
    std::vector<double> cover_;
    Sheet sheet_;
};

// Is the point on silicon (or film): in a cell and not in the gap around it?
bool on_cell(const PanelType& type, const HeatSpec& spec, double x, double y);
// Silicon (or film) of one cell.
double cell_area_m2(const PanelType& type, const HeatSpec& spec);

}  // namespace scene
