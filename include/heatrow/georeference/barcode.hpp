// The modules' own mean temperatures as a barcode: which of them two overlapping frames share.
#pragma once

#include "heatrow/georeference/flight_evidence.hpp"

#include <span>
#include <utility>
#include <vector>

namespace heatrow {

// The means of one frame, made comparable: what is smooth along the row (drift, vignetting, view angle) taken out,
// faults drawn in, variance one. Fewer than four modules, or all alike: empty, ties nothing.
class Barcode {
  public:
    Barcode() = default;
    explicit Barcode(std::vector<BarcodeCell> cells);  // in any order, each place once, means finite

    [[nodiscard]] std::span<const BarcodeCell> cells() const { return cells_; }  // ascending by place
    [[nodiscard]] std::vector<BarcodeCell> take() && { return std::move(cells_); }

  private:
    std::vector<BarcodeCell> cells_;
};

struct BarcodeOptions {
    int least_common = 4;  // modules that both frames show, for the means to say anything
    // Share of the common modules that count as independent: the smooth part is not wholly gone (tempered,
    // docs/naming.md)
    double independent_share = 0.8;
};

// `a`, `b`: cells of barcodes, ascending by place. Log-likelihood of "the frames show the same modules" over "their
// means are unrelated" at each relative offset within `reach` of `guess`: -n/2 log(1 - r^2), the likelihood ratio of a
// correlation r > 0 of n pairs of normal values (e.g. Anderson, An Introduction to Multivariate Statistical Analysis,
// section 4.2). 0 where too few modules are common.
std::vector<RelativeVote> compare_barcodes(std::span<const BarcodeCell> a,
                                           std::span<const BarcodeCell> b,
                                           LatticeOffset guess,
                                           const OffsetWindow& reach,
                                           const BarcodeOptions& options = {});

// Which frames may share modules: those next in time, and the nearest ones, in position, of other passes.
struct PairOptions {
    int next_in_time = 2;
    int of_other_passes = 2;
    int pass_frames = 6;  // frames nearer than this in time are of the same pass
};
std::vector<std::pair<int, int>> choose_pairs(std::span<const Eigen::Vector2d> positions_m,
                                              double largest_distance_m,
                                              const PairOptions& options = {});

// Ties of all such pairs by the barcodes of `flight`'s frames: relative offsets are tried as far as the positions may
// have wandered in between, and one row to either side. `middles_m`: middle of what each frame shows, along and across;
// NaN without a log.
std::vector<FrameTie> tie_frames(const FlightEvidence& flight,
                                 std::span<const Eigen::Vector2d> middles_m,
                                 double largest_distance_m,
                                 const PositionOptions& positions = {});

}  // namespace heatrow
