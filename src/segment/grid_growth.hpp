// Grows one lattice over a picture: which places of it hold a module, by their sides.
#pragma once

#include "heatrow/edges/band_probe.hpp"
#include "heatrow/segment/module_lattice.hpp"
#include "lattice_model.hpp"
#include "lattice_seeds.hpp"

#include <map>
#include <optional>
#include <utility>
#include <vector>

namespace heatrow::detail {

// Probes of one picture that reach far enough for lines of one width.
struct GridProbes {
    GridProbes(CountView picture, const GridOptions& options, double line_sigma_px);

    CountView counts;
    double reach_px;
    BandProber prober;
};

class GridGrowth {
  public:
    // `probes` must outlive it.
    GridGrowth(const GridOptions& options, bool dark_lines, GridProbes& probes);

    // Fits the lattice to a seed and grows it. Nothing where the seed is no lattice, or too few modules show their
    // sides.
    std::optional<ModuleGrid> grow(const LatticeSeed& seed);

  private:
    using Cell = std::pair<int, int>;  // row, column: the order of the output
    struct SideFix {
        int strips = 0;
        int found = 0;
        double depth = 0.0;  // counts: glass less band, positive for lines of the wanted sign; mean
        double shift = 0.0;  // px, outwards from the lattice line; mean
        double gain = 0.0;
        double inside = 0.0;  // level of the module's side, counts; mean
        std::vector<LatticeEdge> edges;
    };
    struct Sides {
        int seen = 0;
        int found = 0;
        double towards = 0.0;  // mean shift of sides shared with modules into them, as a share of the inset
        int shared = 0;
        double across_px =
            0.0;             // how far both sides across x, and across y, lie from the lattice, the same way: larger
        int inner_seen = 0;  // of the sides towards other modules
        int inner_found = 0;
    };

    bool start(const LatticeSeed& seed);
    SideFix probe_side(Cell cell, int side, bool between);
    SideFix best_side(Cell cell, int side);
    Sides look_at(Cell cell);
    [[nodiscard]] bool has(Cell cell) const { return modules_.contains(cell); }
    [[nodiscard]] bool touches(Cell cell) const;
    [[nodiscard]] double pitch_along(int axis) const;
    bool choose_bands();
    bool fit(int rounds);
    void share_inset();
    [[nodiscard]] double pitch_aspect() const;
    bool settle_insets();
    [[nodiscard]] bool find_shape();
    [[nodiscard]] bool convincing() const;
    void find_depth();
    void verify();
    bool extend();
    [[nodiscard]] bool holds_module(const Sides& sides) const;
    [[nodiscard]] bool usual_level(Cell cell) const;
    [[nodiscard]] double level_of(Cell cell) const;
    [[nodiscard]] std::optional<ModuleGrid> result() const;

    GridProbes& probes_;
    CountView counts_;
    GridOptions options_;
    bool dark_;
    LatticeModel model_;
    std::map<Cell, Sides> modules_;
    std::array<double, 2> band_between_{0.0, 0.0};  // width as a share of the pitch
    std::array<double, 2> band_free_{0.0, 0.0};
    double depth_ = 0.0;  // usual height of a line between modules, counts
    std::vector<LatticeEdge> edges_;
    std::optional<LatticeStep> step_;
    std::optional<int> shape_;  // of GridOptions::shapes
    bool shape_lies_ = false;
    std::array<double, 2> rim_{0.0, 0.0};  // as a share of the pitch
};

}  // namespace heatrow::detail
