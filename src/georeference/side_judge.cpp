#include "side_judge.hpp"

#include "heatrow/core/median.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

namespace heatrow::detail {

namespace {

constexpr double kLargestOffsetPx = 1.3;  // from where the locked lattice has the side
// Own choices: glass may be this many standard deviations, and this share of a band's depth, off the frame's median;
// a band this much shallower or deeper than the usual one.
constexpr double kGlassSigmas = 4.0;
constexpr double kGlassShare = 0.3;
constexpr double kShallowest = 0.4;
constexpr double kDeepest = 2.5;
// Shares are known from some dozen sides, and no frame is all clear or all blurred.
constexpr double kLeastShare = 0.4;
constexpr double kMostShare = 0.95;

// Of the band below the glass beside it; NaN for a plain step.
double depth_of(const EdgeFix& fix, bool free_side) {
    return (free_side ? fix.inner : 0.5 * (fix.inner + fix.outer)) - fix.band;
}

double share_of(double liked, double probed) {
    return probed > 0.0 ? std::clamp(liked / probed, kLeastShare, kMostShare) : kMostShare;
}

}  // namespace

SideJudge::SideJudge(BandProber& prober, const std::vector<PredictedLine>& lines) : prober_(prober) {
    std::vector<std::pair<std::optional<EdgeFix>, bool>> seen;
    std::vector<double> glass;
    std::vector<double> free_depths;
    std::vector<double> between_depths;
    for (const PredictedLine& line : lines) {
        seen.emplace_back(prober_.probe(line.line), line.free_side);
        if (const std::optional<EdgeFix>& fix = seen.back().first) {
            glass.push_back(fix->inner);
            (line.free_side ? free_depths : between_depths).push_back(depth_of(*fix, line.free_side));
        }
    }
    glass_ = median_of(glass);
    glass_spread_ = robust_sigma(glass);
    free_depth_ = median_of(free_depths);
    between_depth_ = median_of(between_depths);
    double free_sides = 0.0;
    double free_liked = 0.0;
    double between = 0.0;
    double between_liked = 0.0;
    for (const auto& [fix, free_side] : seen) {
        (free_side ? free_sides : between) += 1.0;
        (free_side ? free_liked : between_liked) +=
            fix && has_usual_band(*fix, free_side) && has_usual_glass(*fix, free_side) ? 1.0 : 0.0;
    }
    free_share_ = share_of(free_liked, free_sides);
    between_share_ = share_of(between_liked, between);
}

// Sides without a band, or a frame without such sides, pass.
bool SideJudge::has_usual_band(const EdgeFix& fix, bool free_side) const {
    const double usual = free_side ? free_depth_ : between_depth_;
    const double share = depth_of(fix, free_side) / usual;
    return std::abs(fix.offset_px) < kLargestOffsetPx &&
           (!std::isfinite(share) || (share > kShallowest && share < kDeepest));
}

bool SideJudge::has_usual_glass(const EdgeFix& fix, bool free_side) const {
    const double usual = free_side ? free_depth_ : between_depth_;
    const double reach = kGlassSigmas * glass_spread_ + (std::isfinite(usual) ? kGlassShare * std::abs(usual) : 0.0);
    return std::abs(fix.inner - glass_) <= reach;
}

bool SideJudge::shows_side(const PredictedLine& line) {
    const std::optional<EdgeFix> fix = prober_.probe(line.line);
    return fix && has_usual_band(*fix, line.free_side) && has_usual_glass(*fix, line.free_side);
}

bool SideJudge::shows_edge(const PredictedLine& line) {
    return lies_at(prober_.probe(line.line));
}

bool lies_at(const std::optional<EdgeFix>& fix) {
    return fix && std::abs(fix->offset_px) < kLargestOffsetPx;
}

}  // namespace heatrow::detail
