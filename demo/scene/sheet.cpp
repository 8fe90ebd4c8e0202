#include "sheet.hpp"

#include <algorithm>
#include <cmath>

namespace scene {

Sheet::Sheet(const SheetGrid& grid)
    : nx_(grid.nx),
      ny_(grid.ny),
      band_(std::min(grid.nx, grid.ny)),
      factor_(Eigen::MatrixXd::Zero(band_ + 1, static_cast<Eigen::Index>(grid.size()))) {
    const auto join = [this](Eigen::Index a, Eigen::Index b, double conductance) {
        factor_(0, a) += conductance;
        factor_(0, b) += conductance;
        factor_(b - a, a) -= conductance;
    };
    for (int iy = 0; iy < ny_; ++iy) {
        for (int ix = 0; ix < nx_; ++ix) {
            factor_(0, in_band(ix, iy)) += grid.loss[grid.node(ix, iy)];
            if (ix + 1 < nx_) {
                join(in_band(ix, iy), in_band(ix + 1, iy), grid.along_x[grid.node(ix, iy)]);
            }
            if (iy + 1 < ny_) {
                join(in_band(ix, iy), in_band(ix, iy + 1), grid.along_y[grid.node(ix, iy)]);
            }
        }
    }
    // A = L L^T, column by column; every entry stays inside the band.
    const Eigen::Index count = factor_.cols();
    for (Eigen::Index i = 0; i < count; ++i) {
        auto column = factor_.col(i);
        column /= std::sqrt(column(0));
        const Eigen::Index reach = std::min(band_, count - 1 - i);
        for (Eigen::Index k = 1; k <= reach; ++k) {
            factor_.col(i + k).head(reach - k + 1) -= column(k) * column.segment(k, reach - k + 1);
        }
    }
}

std::vector<double> Sheet::solve(const std::vector<double>& sources_w) const {
    const Eigen::Index count = factor_.cols();
    Eigen::VectorXd value(count);
    for (int iy = 0; iy < ny_; ++iy) {
        for (int ix = 0; ix < nx_; ++ix) {
            value(in_band(ix, iy)) =
                sources_w[static_cast<std::size_t>(iy) * static_cast<std::size_t>(nx_) + static_cast<std::size_t>(ix)];
        }
    }
    for (Eigen::Index i = 0; i < count; ++i) {
        const Eigen::Index reach = std::min(band_, count - 1 - i);
        value(i) /= factor_(0, i);
        value.segment(i + 1, reach) -= value(i) * factor_.col(i).segment(1, reach);
    }
    for (Eigen::Index i = count - 1; i >= 0; --i) {
        const Eigen::Index reach = std::min(band_, count - 1 - i);
        value(i) = (value(i) - factor_.col(i).segment(1, reach).dot(value.segment(i + 1, reach))) / factor_(0, i);
    }
    std::vector<double> result(sources_w.size());
    for (int iy = 0; iy < ny_; ++iy) {
        for (int ix = 0; ix < nx_; ++ix) {
            result[static_cast<std::size_t>(iy) * static_cast<std::size_t>(nx_) + static_cast<std::size_t>(ix)] =
                value(in_band(ix, iy));
        }
    }
    return result;
}

}  // namespace scene
