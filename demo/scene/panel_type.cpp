#include "panel_type.hpp"

#include "heatrow/core/error.hpp"
#include "toml_section.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace scene {
namespace {

using heatrow::CellIndex;

// "r1c1:r10c2" or "r3c4".
std::vector<int> block_cells(const Section& section, const PanelType& type, const std::string& block) {
    const auto colon = block.find(':');
    const auto first = heatrow::parse_cell(block.substr(0, colon));
    const auto last = colon == std::string::npos ? first : heatrow::parse_cell(block.substr(colon + 1));
    if (!first || !last || first->row > last->row || first->column > last->column || last->row >= type.rows ||
        last->column >= type.columns) {
        section.fail("cells", fmt::format("holds '{}', which is no block of cells of this type", block));
    }
    std::vector<int> cells;
    for (int row = first->row; row <= last->row; ++row) {
        for (int column = first->column; column <= last->column; ++column) {
            cells.push_back(row * type.columns + column);
        }
    }
    return cells;
}

PanelType::Technology read_technology(Section& root) {
    const std::string name = root.text("technology", "crystalline");
    if (name == "crystalline") {
        return PanelType::Technology::crystalline;
    }
    if (name == "shingled") {
        return PanelType::Technology::shingled;
    }
    if (name == "thin_film") {
        return PanelType::Technology::thin_film;
    }
    root.fail("technology", "must be 'crystalline', 'shingled' or 'thin_film'");
}

void read_substrings(Section& root, PanelType& type) {
    type.substring_of_cell.assign(static_cast<std::size_t>(type.cell_count()), 0);
    int substring = 0;
    for (Section& section : root.sections("substring")) {
        ++substring;
        const bool parallel = type.half_cut || type.technology == PanelType::Technology::shingled;
        for (const std::string& block : section.texts("cells")) {
            if (parallel || type.branches.empty() || type.branches.back().substring != substring) {
                type.branches.push_back({substring, {}});
            }
            for (const int cell : block_cells(section, type, block)) {
                int& owner = type.substring_of_cell[static_cast<std::size_t>(cell)];
                if (owner != 0) {
                    section.fail("cells", fmt::format("gives a cell of '{}' to a second substring", block));
                }
                owner = substring;
                type.branches.back().cells.push_back(cell);
            }
        }
    }
    if (std::ranges::count(type.substring_of_cell, 0) > 0) {
        root.fail("substring", "leaves a cell without a substring");
    }
}

}  // namespace

int PanelType::substring_count() const {
    return *std::ranges::max_element(substring_of_cell);
}

PanelType::Box PanelType::cell_box(int cell) const {
    const int row = cell / columns;
    const int column = cell % columns;
    const double cell_width = cells_width_m / columns;
    const double cell_height = (cells_height_m - middle_gap_m) / rows;
    const double gap = row >= rows / 2 ? middle_gap_m : 0.0;
    const double left = cells_left_m + column * cell_width;
    const double top = cells_top_m + row * cell_height + gap;
    return {left, top, left + cell_width, top + cell_height};
}

int PanelType::nearest_cell(double x, double y) const {
    const double cell_width = cells_width_m / columns;
    const double cell_height = (cells_height_m - middle_gap_m) / rows;
    const double upper_end = cells_top_m + (rows / 2) * cell_height;
    if (y > upper_end) {
        y = std::max(upper_end, y - middle_gap_m);
    }
    const int column = std::clamp(static_cast<int>(std::floor((x - cells_left_m) / cell_width)), 0, columns - 1);
    const int row = std::clamp(static_cast<int>(std::floor((y - cells_top_m) / cell_height)), 0, rows - 1);
    return row * columns + column;
}

int PanelType::cell_at(double x, double y) const {
    const int cell = nearest_cell(x, y);
    const Box box = cell_box(cell);
    return x >= box.left && x < box.right && y >= box.top && y < box.bottom ? cell : -1;
}

PanelType read_panel_type(const std::string& id, const std::vector<std::filesystem::path>& folders) {
    for (const auto& folder : folders) {
        const auto file = folder / (id + ".toml");
        if (std::filesystem::exists(file)) {
            return read_panel_type_file(file);
        }
    }
    std::string searched;
    for (const auto& folder : folders) {
        searched += (searched.empty() ? "" : ", ") + folder.string();
    }
    throw heatrow::Error(heatrow::ErrorKind::usage,
                         "Could not find the module type",
                         id,
                         "no file of that name in " + searched,
                         "Name the folder in scene.module_types.");
}

PanelType read_panel_type_file(const std::filesystem::path& file) {
    const toml::table table = parse_toml(file);
    Section root(table, "", file);
    PanelType type;
    type.file = file;
    type.id = root.text("id");
    root.text("description", "");
    type.width_m = root.number("width_m");
    type.height_m = root.number("height_m");
    type.rows = root.integer("rows");
    type.columns = root.integer("columns");
    type.half_cut = root.boolean("half_cut", false);
    type.technology = read_technology(root);
    auto area = root.section("cell_area_m");
    if (!area || type.rows < 1 || type.columns < 1 || type.width_m <= 0.0 || type.height_m <= 0.0) {
        root.fail("cell_area_m", "and sizes must describe at least one cell");
    }
    type.cells_left_m = area->number("left");
    type.cells_top_m = area->number("top");
    type.cells_width_m = area->number("width");
    type.cells_height_m = area->number("height");
    area->finish();
    type.middle_gap_m = root.number("middle_gap_m", 0.0);
    type.frame_width_m = root.number("frame_width_m", 0.0);
    type.rated_power_w = root.number("rated_power_w");
    type.rated_current_a = root.number("rated_current_a");
    type.short_circuit_current_a = root.number("short_circuit_current_a");
    if (!(type.short_circuit_current_a > type.rated_current_a && type.rated_current_a > 0.0)) {
        root.fail("short_circuit_current_a", "must be above rated_current_a, and both above zero");
    }
    read_substrings(root, type);
    for (Section& section : root.sections("junction_box")) {
        const auto position = section.numbers_of("position_m", 2, {});
        type.junction_boxes.emplace_back(position[0], position[1]);
    }
    return type;  // keys that only the analyser needs (front, rated voltage, ...) are left alone
}

}  // namespace scene
