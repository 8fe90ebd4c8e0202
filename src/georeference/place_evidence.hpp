// Evidence for whole-picture shifts of one frame: coarse search for the lattice, and which place on the lattice.
#pragma once

#include "heatrow/core/image.hpp"
#include "predicted_lines.hpp"

#include <Eigen/Core>

#include <vector>

namespace heatrow::detail {

// Means at places that the layout says are module or free ground, at a predicted pose.
class GroundEvidence {
  public:
    GroundEvidence(const LayoutIndex& site,
                   const PosedCamera& camera,
                   const std::vector<int>& modules,
                   CountView counts,
                   double nodata);

    // Log-likelihood gain of "module and ground differ, and lie here" over "no difference", with everything in the
    // picture shifted by `shift` px, for one place; and how many places are in the picture then.
    struct Gain {
        double per_place = 0.0;
        double places = 0.0;
    };
    [[nodiscard]] Gain gain(const Eigen::Vector2d& shift) const;

  private:
    struct Place {
        Eigen::Vector2d pixel;
        bool module;
    };
    [[nodiscard]] double mean_at(const Eigen::Vector2d& pixel) const;

    CountView counts_;
    float nodata_;
    std::vector<Place> places_;
};

struct LatticePlace {
    Eigen::Vector2d shift_px{0.0, 0.0};
    double slip_margin = 0.0;
};

struct LatticeSearch {
    double shift_sd_px = 0.0;                 // prior of the shift
    int reach_px = 0;                         // largest shift looked for
    std::vector<Eigen::Vector2d> pitches_px;  // image shifts that carry the lattice onto itself; both signs are tried
};

// The shift at which edges sit best, the prior and the ground decide among those a pitch apart.
LatticePlace find_place(BandProber& prober,
                        const std::vector<PredictedLine>& lines,
                        const GroundEvidence& ground,
                        const LatticeSearch& search);

}  // namespace heatrow::detail
