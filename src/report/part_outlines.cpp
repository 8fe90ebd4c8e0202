#include "heatrow/report/part_outlines.hpp"

#include "heatrow/report/report_model.hpp"

#include <algorithm>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

std::vector<Eigen::Vector2d> rectangle_between(const Eigen::Vector2d& low, const Eigen::Vector2d& high) {
    return {low, {high.x(), low.y()}, high, {low.x(), high.y()}};
}

}  // namespace

std::vector<std::vector<Eigen::Vector2d>> part_outlines(const SurveyRecord& record, const Finding& finding) {
    if (finding.module == -1) {
        return {};
    }
    const ModuleType& type = record.layout.type_of(record.layout.modules[at(finding.module)]);
    const std::vector<int> cells = cells_of_finding(record, finding);
    if (static_cast<int>(cells.size()) == type.cell_count()) {
        return {};
    }
    CellIndex first = type.cell_at(cells.front());
    CellIndex last = first;
    std::vector<std::vector<Eigen::Vector2d>> each;
    for (const int cell : cells) {
        const CellIndex here = type.cell_at(cell);
        first = {std::min(first.row, here.row), std::min(first.column, here.column)};
        last = {std::max(last.row, here.row), std::max(last.column, here.column)};
        const auto corners = type.cell_corners(here);
        each.emplace_back(corners.begin(), corners.end());
    }
    const int filled = (last.row - first.row + 1) * (last.column - first.column + 1);
    if (filled != static_cast<int>(cells.size())) {
        return each;
    }
    return {rectangle_between(type.cell_corners(first)[0], type.cell_corners(last)[2])};
}

}  // namespace heatrow
