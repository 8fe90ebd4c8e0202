// Whether a place in the picture shows a module's side, judged by what the sides in the same frame look like.
#pragma once

#include "predicted_lines.hpp"

#include <optional>
#include <vector>

namespace heatrow::detail {

// An edge is not enough: shadows lie beside rows and have edges where the next module's would be. A side has glass on
// its inner side, as warm as the other glass in the frame, and a band as deep as the other bands.
class SideJudge {
  public:
    // `prober` gives levels; `lines` are sides at the frame's locked pose.
    SideJudge(BandProber& prober, const std::vector<PredictedLine>& lines);

    [[nodiscard]] bool shows_side(const PredictedLine& line);
    // Whether any edge lies there: sides of a shaded module, or a smeared frame, have other levels.
    [[nodiscard]] bool shows_edge(const PredictedLine& line);
    // How often sides of the frame are judged as such: free ones, and ones between modules.
    [[nodiscard]] double usual_share(bool free_side) const { return free_side ? free_share_ : between_share_; }

  private:
    [[nodiscard]] bool has_usual_band(const EdgeFix& fix, bool free_side) const;
    [[nodiscard]] bool has_usual_glass(const EdgeFix& fix, bool free_side) const;

    BandProber& prober_;
    double glass_ = 0.0;         // counts
    double glass_spread_ = 0.0;  // counts, robust standard deviation
    double free_depth_ = 0.0;    // counts, of the band below the glass
    double between_depth_ = 0.0;
    double free_share_ = 0.0;
    double between_share_ = 0.0;
};

// Whether an edge was found where the locked lattice has the side.
bool lies_at(const std::optional<EdgeFix>& fix);

}  // namespace heatrow::detail
