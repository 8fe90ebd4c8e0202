// Coarse search for the lattice: shifts of the whole picture under which edges sit where the layout has them.
#pragma once

#include "predicted_lines.hpp"

#include <Eigen/Core>

#include <vector>

namespace heatrow::detail {

struct PhaseSearch {
    Eigen::Matrix2d shift_information;        // inverse covariance of the shift, 1/px2
    int reach_px = 0;                         // largest shift looked for
    std::vector<Eigen::Vector2d> pitches_px;  // image shifts that carry the lattice onto itself
};

// The shift at which edges and the prior agree best, then others whose edges speak nearly as well and that no pitch
// carries onto the ones before: at most three.
std::vector<Eigen::Vector2d> find_phases(BandProber& prober,
                                         const std::vector<PredictedLine>& lines,
                                         const PhaseSearch& search);

}  // namespace heatrow::detail
