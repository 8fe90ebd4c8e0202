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
        (free_side ? free_liked : between_liked) += fix && is_like(*fix, free_side) ? 1.0 : 0.0;
    }
    free_share_ = share_of(free_liked, free_sides);
    between_share_ = share_of(between_liked, between);
}

bool SideJudge::is_like(const EdgeFix& fix, bool free_side) const {
    const double usual = free_side ? free_depth_ : between_depth_;
    const double depth = depth_of(fix, free_side);
    // Sides without a band, or a frame without such sides: the glass alone decides.
    const bool has_band = std::isfinite(depth) && std::isfinite(usual) && usual != 0.0;
    const double reach = kGlassSigmas * glass_spread_ + (has_band ? kGlassShare * std::abs(usual) : 0.0);
    return std::abs(fix.offset_px) < kLargestOffsetPx && std::abs(fix.inner - glass_) <= reach &&
           (!has_band || (depth / usual > kShallowest && depth / usual < kDeepest));
}

bool SideJudge::shows_side(const PredictedLine& line) {
    const std::optional<EdgeFix> fix = prober_.probe(line.line);
    return fix && is_like(*fix, line.free_side);
}

}  // namespace heatrow::detail
