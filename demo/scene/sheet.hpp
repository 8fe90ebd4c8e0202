// Steady heat in a thin sheet: what flows in at each node either flows to its neighbours or is lost to the air.
#pragma once

#include <Eigen/Core>

#include <vector>

namespace scene {

// A raster of nodes, row by row, x fastest. Conductances in W/K: along_x between (ix, iy) and (ix + 1, iy), numbered
// like the left node (the last of a row unused), along_y likewise between (ix, iy) and (ix, iy + 1); loss from each
// node to air.
struct SheetGrid {
    int nx = 0;
    int ny = 0;
    std::vector<double> along_x;
    std::vector<double> along_y;
    std::vector<double> loss;

    [[nodiscard]] std::size_t node(int ix, int iy) const {
        return static_cast<std::size_t>(iy) * static_cast<std::size_t>(nx) + static_cast<std::size_t>(ix);
    }
    [[nodiscard]] std::size_t size() const { return static_cast<std::size_t>(nx) * static_cast<std::size_t>(ny); }
};

// The sheet's matrix, factored once (Cholesky in a band as wide as the shorter side); each set of sources is then two
// sweeps.
class Sheet {
  public:
    explicit Sheet(const SheetGrid& grid);
    // Watts into each node; kelvin above air at each node.
    [[nodiscard]] std::vector<double> solve(const std::vector<double>& sources_w) const;

  private:
    // Nodes in the order of the band: the shorter side fastest.
    [[nodiscard]] Eigen::Index in_band(int ix, int iy) const {
        return nx_ <= ny_ ? Eigen::Index{iy} * nx_ + ix : Eigen::Index{ix} * ny_ + iy;
    }

    int nx_;
    int ny_;
    Eigen::Index band_;
    Eigen::MatrixXd factor_;  // column i: the diagonal of node i, then the `band_` entries below it
};

}  // namespace scene
