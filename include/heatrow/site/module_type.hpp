// What a type of module looks like and how it is wired: data, read from a type file (docs/formats/module-type.md).
#pragma once

#include <Eigen/Core>
#include <array>
#include <string>
#include <vector>

#include "heatrow/core/cell.hpp"
#include "heatrow/core/units.hpp"

namespace heatrow {

// Plane coordinates of the module: origin at the top left corner of its outline, x to the right, y from `top`
// downwards, metres, seen from the front.
struct ModuleType {
    std::string id;
    std::string description;
    Metres width{0.0};    // along x, outline with frame
    Metres height{0.0};   // along y
    int rows = 0;         // cells along y
    int columns = 0;      // cells along x
    Metres cell_area_left{0.0};    // where the first column begins
    Metres cell_area_top{0.0};     // where the first row begins
    Metres cell_area_width{0.0};   // over all columns
    Metres cell_area_height{0.0};  // over all rows, without `middle_gap`
    Metres middle_gap{0.0};        // extra gap after row rows/2 (half-cut types); 0 = none
    bool half_cut = false;
    // shingled: strips overlap along the columns, and the blocks of a substring are in parallel; thin_film: scribed cells
    // between two panes.
    enum class Technology { crystalline, shingled, thin_film } technology = Technology::crystalline;
    Metres frame_width{0.0};       // visible rim inside the outline; 0 = frameless
    enum class Front { glass, polymer } front = Front::glass;
    bool positive_lead_left = true;  // side of the + lead, seen from the front
    // Substring of each cell, row by row, from 1: the bypass topology.
    std::vector<int> substring_of_cell;
    // Rows of cells in series, each wholly in one substring; the branches of a substring are in parallel under its diode.
    std::vector<std::vector<int>> branches;
    std::vector<Eigen::Vector2d> junction_boxes;  // positions in plane coordinates, m
    double rated_power_w = 0.0;
    double rated_current_a = 0.0;
    double rated_voltage_v = 0.0;
    double short_circuit_current_a = 0.0;
    double open_circuit_voltage_v = 0.0;  // 0 = not stated

    [[nodiscard]] int cell_count() const { return rows * columns; }
    [[nodiscard]] int cell_number(CellIndex cell) const { return cell.row * columns + cell.column; }
    [[nodiscard]] CellIndex cell_at(int number) const { return {number / columns, number % columns}; }
    [[nodiscard]] int substring_count() const;
    // Numbers (row by row) of the cells of one substring (from 1).
    [[nodiscard]] std::vector<int> cells_of_substring(int substring) const;
    // Its branches; one of all its cells where `branches` names none.
    [[nodiscard]] std::vector<std::vector<int>> branches_of_substring(int substring) const;
    // Rated power over 1000 W/m2 on the outline.
    [[nodiscard]] double efficiency() const { return rated_power_w / (1000.0 * width.value() * height.value()); }
    // Corners of a cell in plane coordinates, m: top left, top right, bottom right, bottom left.
    [[nodiscard]] std::array<Eigen::Vector2d, 4> cell_corners(CellIndex cell) const;
};

}  // namespace heatrow
