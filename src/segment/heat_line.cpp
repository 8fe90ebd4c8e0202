#include "heat_line.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

namespace heatrow::detail {

namespace {

// So many steps in the length over which heat fades: what a source keeps is then right within 0.2 % (test).
constexpr double kStepsALength = 4.0;

int steps_a_cell(const std::vector<Interval>& cells, const CellSheet& sheet) {
    double widest = 0.0;
    for (const Interval& cell : cells) {
        widest = std::max(widest, cell.to - cell.from);
    }
    const double length = std::sqrt(sheet.within_cells_w_k / sheet.loss_w_m2k);
    return static_cast<int>(std::ceil(kStepsALength * widest / length));
}

// Solves a symmetric tridiagonal system (Thomas), which has a dominant diagonal here, for all columns at once.
Eigen::MatrixXd solve_chain(Eigen::VectorXd diagonal, const Eigen::VectorXd& link, Eigen::MatrixXd right) {
    const Eigen::Index count = diagonal.size();
    for (Eigen::Index i = 1; i < count; ++i) {
        const double share = link[i - 1] / diagonal[i - 1];
        diagonal[i] -= share * link[i - 1];
        right.row(i) += share * right.row(i - 1);
    }
    right.row(count - 1) /= diagonal[count - 1];
    for (Eigen::Index i = count - 2; i >= 0; --i) {
        right.row(i) = (right.row(i) + link[i] * right.row(i + 1)) / diagonal[i];
    }
    return right;
}

}  // namespace

HeatLine spread_along(const std::vector<Interval>& cells, const CellSheet& sheet) {
    const Eigen::Index cell_count = static_cast<Eigen::Index>(cells.size());
    const int steps = steps_a_cell(cells, sheet);
    const Eigen::Index count = cell_count * steps;
    HeatLine line;
    line.bounds.reserve(static_cast<std::size_t>(count) + 1);
    Eigen::VectorXd width(count);
    for (Eigen::Index cell = 0; cell < cell_count; ++cell) {
        const Interval& extent = cells[static_cast<std::size_t>(cell)];
        for (int step = 0; step < steps; ++step) {
            line.bounds.push_back(extent.from + (extent.to - extent.from) * step / steps);
            width[cell * steps + step] = (extent.to - extent.from) / steps;
        }
    }
    line.bounds.push_back(cells.back().to);

    Eigen::VectorXd link(count - 1);  // conductance between neighbours, per metre across, W/mK
    for (Eigen::Index i = 0; i + 1 < count; ++i) {
        const double apart = 0.5 * (width[i] + width[i + 1]);
        const double gap = (i + 1) % steps == 0 ? std::min(sheet.cell_gap.value(), apart) : 0.0;
        link[i] = 1.0 / ((apart - gap) / sheet.within_cells_w_k + gap / sheet.beside_cells_w_k);
    }
    Eigen::VectorXd diagonal = sheet.loss_w_m2k * width;
    diagonal.head(count - 1) += link;
    diagonal.tail(count - 1) += link;
    Eigen::MatrixXd sources = Eigen::MatrixXd::Zero(count, cell_count);
    for (Eigen::Index cell = 0; cell < cell_count; ++cell) {
        sources.block(cell * steps, cell, steps, 1) = sheet.loss_w_m2k * width.segment(cell * steps, steps);
        for (const Eigen::Index rim : {cell * steps, (cell + 1) * steps - 1}) {  // no wafer, no current, no heat
            sources(rim, cell) -= sheet.loss_w_m2k * std::min(0.5 * sheet.cell_gap.value(), 0.5 * width[rim]);
        }
    }
    line.temperatures = solve_chain(std::move(diagonal), link, std::move(sources));
    return line;
}

}  // namespace heatrow::detail
