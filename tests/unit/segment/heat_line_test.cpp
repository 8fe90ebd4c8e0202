#include "../../../src/segment/heat_line.hpp"

#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>
#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

using namespace heatrow;
using namespace heatrow::detail;
using Catch::Matchers::WithinAbs;

namespace {

constexpr double kCell = 0.158;

std::vector<Interval> cells_in_line(int count) {
    std::vector<Interval> cells;
    for (int i = 0; i < count; ++i) {
        cells.push_back({i * kCell, (i + 1) * kCell});
    }
    return cells;
}

// Means over the cells of what each source gives: cells x sources.
Eigen::MatrixXd cell_means(const HeatLine& line, int count) {
    const Eigen::Index steps = line.temperatures.rows() / count;
    Eigen::MatrixXd means(count, line.temperatures.cols());
    for (int cell = 0; cell < count; ++cell) {
        means.row(cell) = line.temperatures.middleRows(cell * steps, steps).colwise().mean();
    }
    return means;
}

// Mean over each cell of a plane sheet, one cell of which gives heat: a solve in two dimensions, 4 mm a node.
Eigen::MatrixXd sheet_means(int columns, int rows, int hot_column, int hot_row, const CellSheet& sheet) {
    constexpr int kNodes = 40;
    const double step = kCell / kNodes;
    const int nx = columns * kNodes;
    const int ny = rows * kNodes;
    const auto link = [&](int node) {
        const double gap = (node + 1) % kNodes == 0 ? sheet.cell_gap.value() : 0.0;
        return step / ((step - gap) / sheet.within_cells_w_k + gap / sheet.beside_cells_w_k);
    };
    const auto wafer = [&](int node) {  // length of it on a wafer
        const bool at_gap = node % kNodes == 0 || (node + 1) % kNodes == 0;
        return step - (at_gap ? 0.5 * sheet.cell_gap.value() : 0.0);
    };
    std::vector<Eigen::Triplet<double>> entries;
    Eigen::VectorXd heat = Eigen::VectorXd::Zero(nx * ny);
    const auto join = [&entries](int a, int b, double conductance) {
        entries.emplace_back(a, a, conductance);
        entries.emplace_back(b, b, conductance);
        entries.emplace_back(a, b, -conductance);
        entries.emplace_back(b, a, -conductance);
    };
    for (int y = 0; y < ny; ++y) {
        for (int x = 0; x < nx; ++x) {
            const int node = y * nx + x;
            entries.emplace_back(node, node, sheet.loss_w_m2k * step * step);
            if (x + 1 < nx) {
                join(node, node + 1, link(x));
            }
            if (y + 1 < ny) {
                join(node, node + nx, link(y));
            }
            if (x / kNodes == hot_column && y / kNodes == hot_row) {
                heat[node] = sheet.loss_w_m2k * wafer(x) * wafer(y);
            }
        }
    }
    Eigen::SparseMatrix<double> system(nx * ny, nx * ny);
    system.setFromTriplets(entries.begin(), entries.end());
    const Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> solver(system);
    const Eigen::VectorXd temperature = solver.solve(heat);
    Eigen::MatrixXd means = Eigen::MatrixXd::Zero(rows, columns);
    for (int y = 0; y < ny; ++y) {
        for (int x = 0; x < nx; ++x) {
            means(y / kNodes, x / kNodes) += temperature[y * nx + x] / (kNodes * kNodes);
        }
    }
    return means;
}

}  // namespace

TEST_CASE("heat line: a source in an even sheet follows the fin solution", "[segment]") {
    CellSheet sheet;
    sheet.cell_gap = Metres(0.0);
    constexpr int kCells = 9;
    const Eigen::MatrixXd means = cell_means(spread_along(cells_in_line(kCells), sheet), kCells);
    // Infinite fin, k T'' = U T - q: with L = sqrt(k / U), a source of width w keeps 1 - (L/w)(1 - exp(-w/L)) in the
    // mean over itself and gives (L/2w)(1 - exp(-w/L))^2 to its neighbour (integrals of exp(-|x|/L) / 2L).
    const double length = std::sqrt(sheet.within_cells_w_k / sheet.loss_w_m2k);
    const double kept = 1.0 - length / kCell * (1.0 - std::exp(-kCell / length));
    const double given = 0.5 * length / kCell * std::pow(1.0 - std::exp(-kCell / length), 2);
    CHECK_THAT(means(4, 4), WithinAbs(kept, 0.002));
    CHECK_THAT(means(3, 4), WithinAbs(given, 0.001));
    CHECK_THAT(means(5, 4), WithinAbs(given, 0.001));
}

TEST_CASE("heat line: even sources stay even, and none is lost", "[segment]") {
    CellSheet sheet;
    const HeatLine line = spread_along(cells_in_line(6), sheet);
    const double wafers = 1.0 - sheet.cell_gap.value() / kCell;
    CHECK((cell_means(line, 6).colwise().sum().array() - wafers).abs().maxCoeff() < 1e-12);
    CHECK(line.temperatures.minCoeff() > 0.0);
    sheet.cell_gap = Metres(0.0);
    const HeatLine closed = spread_along(cells_in_line(6), sheet);
    CHECK((closed.temperatures.rowwise().sum().array() - 1.0).abs().maxCoeff() < 1e-12);
}

TEST_CASE("heat line: two lines stand for a plane sheet", "[segment]") {
    constexpr int kColumns = 6;
    constexpr int kRows = 5;
    for (const int hot_column : {0, 3}) {
        constexpr int kHotRow = 2;
        const CellSheet sheet;
        const Eigen::MatrixXd plane = sheet_means(kColumns, kRows, hot_column, kHotRow, sheet);
        const Eigen::MatrixXd across = cell_means(spread_along(cells_in_line(kColumns), sheet), kColumns);
        const Eigen::MatrixXd down = cell_means(spread_along(cells_in_line(kRows), sheet), kRows);
        const Eigen::MatrixXd lines = down.col(kHotRow) * across.col(hot_column).transpose();
        INFO("plane\n" << plane << "\nlines\n" << lines);
        CHECK((plane - lines).cwiseAbs().maxCoeff() < 0.02);
    }
}
