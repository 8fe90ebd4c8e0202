// From what the rules' likelihoods say to what comes true: measured, see docs/scoring.md, "Calibrated".
#include "finding_parts.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace heatrow {
namespace {

// Odds are raised to this power: the likelihoods are cautious between even and sure.
constexpr double kOddsPower = 1.6;

// Share in which something else is behind a thermal pattern that its own likelihoods do not know of: mostly dirt on the
// front, which heats cells as a fault of theirs does.
double unseen_cause_share(Pattern pattern) {
    switch (pattern) {
        case Pattern::hot_cell:
        case Pattern::multiple_hot_cells:
            return 0.025;
        case Pattern::substring_bypassed:
        case Pattern::substring_bypassed_by_cell:
        case Pattern::substring_short_circuited:
            return 0.045;
        default:
            return 0.005;
    }
}

constexpr double kMayBeDirt = 0.01;  // shares from here on are dirt's and can make it the runner-up

// What pixels leave open between the whole cell and a part of it says more than dirt that may be anywhere.
bool is_shape_in_cell(const std::optional<Pattern>& pattern) {
    return pattern == Pattern::part_of_cell || pattern == Pattern::hot_point || pattern == Pattern::cell_interconnect;
}

}  // namespace

void calibrate_probability(Finding& finding) {
    if (!std::isfinite(finding.pattern_probability)) {
        return;
    }
    const double stated = std::clamp(finding.pattern_probability, 0.0, 1.0);
    const double likely = std::pow(stated, kOddsPower);
    const double sharpened = likely / (likely + std::pow(1.0 - stated, kOddsPower));
    const double unseen = unseen_cause_share(finding.pattern);
    finding.pattern_probability = (1.0 - unseen) * sharpened;
    if (unseen >= kMayBeDirt && unseen > 1.0 - sharpened && !is_shape_in_cell(finding.pattern_second)) {
        finding.pattern_second = Pattern::external_cause_possible;
    }
}

}  // namespace heatrow
