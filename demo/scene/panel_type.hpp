// A type of module as the scene knows it: read from the same type files as the analyser (docs/formats/module-type.md)
// by a reader of its own.
#pragma once

#include "heatrow/core/cell.hpp"

#include <Eigen/Core>

#include <filesystem>
#include <string>
#include <vector>

namespace scene {

// Plane coordinates: origin top left of the outline, x right, y down, metres, seen from the front with `top` up.
struct PanelType {
    enum class Technology { crystalline, shingled, thin_film };
    std::string id;
    std::filesystem::path file;
    double width_m = 0.0;
    double height_m = 0.0;
    int rows = 0;
    int columns = 0;
    double cells_left_m = 0.0;
    double cells_top_m = 0.0;
    double cells_width_m = 0.0;
    double cells_height_m = 0.0;  // with the middle gap
    double middle_gap_m = 0.0;
    double frame_width_m = 0.0;
    double rated_power_w = 0.0;
    double rated_current_a = 0.0;
    double short_circuit_current_a = 0.0;
    Technology technology = Technology::crystalline;
    bool half_cut = false;
    std::vector<int> substring_of_cell;  // row by row, from 1
    // Cells in series, in wiring order; branches of one substring are in parallel under its diode.
    struct Branch {
        int substring = 0;
        std::vector<int> cells;
    };
    std::vector<Branch> branches;
    std::vector<Eigen::Vector2d> junction_boxes;

    [[nodiscard]] int cell_count() const { return rows * columns; }
    [[nodiscard]] int substring_count() const;
    // Efficiency at standard test conditions, from rated power and outline.
    [[nodiscard]] double efficiency() const { return rated_power_w / (1000.0 * width_m * height_m); }

    struct Box {
        double left, top, right, bottom;
    };
    [[nodiscard]] Box cell_box(int cell) const;
    // The cell whose share of the plane holds the point; points beside the cells belong to the nearest.
    [[nodiscard]] int nearest_cell(double x, double y) const;
    // The same, or -1 beside the cells and in the middle gap.
    [[nodiscard]] int cell_at(double x, double y) const;
};

// Looks for `<id>.toml` in the folders in turn.
PanelType read_panel_type(const std::string& id, const std::vector<std::filesystem::path>& folders);
PanelType read_panel_type_file(const std::filesystem::path& file);

}  // namespace scene
