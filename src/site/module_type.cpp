#include "heatrow/site/module_type.hpp"

#include <algorithm>

namespace heatrow {

int ModuleType::substring_count() const {
    return substring_of_cell.empty() ? 0 : *std::max_element(substring_of_cell.begin(), substring_of_cell.end());
}

std::vector<int> ModuleType::cells_of_substring(int substring) const {
    std::vector<int> cells;
    for (std::size_t i = 0; i < substring_of_cell.size(); ++i) {
        if (substring_of_cell[i] == substring) {
            cells.push_back(static_cast<int>(i));
        }
    }
    return cells;
}

std::vector<std::vector<int>> ModuleType::branches_of_substring(int substring) const {
    std::vector<std::vector<int>> found;
    for (const auto& branch : branches) {
        if (substring_of_cell[static_cast<std::size_t>(branch.front())] == substring) {
            found.push_back(branch);
        }
    }
    return found.empty() ? std::vector<std::vector<int>>{cells_of_substring(substring)} : found;
}

std::array<Eigen::Vector2d, 4> ModuleType::cell_corners(CellIndex cell) const {
    const double pitch_x = cell_area_width.value() / columns;
    const double pitch_y = cell_area_height.value() / rows;
    const double gap = cell.row >= rows / 2 ? middle_gap.value() : 0.0;
    const double left = cell_area_left.value() + cell.column * pitch_x;
    const double top = cell_area_top.value() + cell.row * pitch_y + gap;
    return {Eigen::Vector2d(left, top),
            Eigen::Vector2d(left + pitch_x, top),
            Eigen::Vector2d(left + pitch_x, top + pitch_y),
            Eigen::Vector2d(left, top + pitch_y)};
}

}  // namespace heatrow
