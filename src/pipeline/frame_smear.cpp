#include "frame_smear.hpp"

#include "heatrow/core/median.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

// The cool border of the glass beside a band widens its dip by less than this, and frames without smear differ by less
// than that (own choices: 1.3 to 1.8 px^2 and 0.5 px^2 in rendered frames of 2.5 cm a pixel).
constexpr double kBorder_px2 = 2.0;
constexpr double kLeastExcess_px2 = 1.0;

double lower_quartile(std::vector<double> values) {
    std::erase_if(values, [](double v) { return !std::isfinite(v); });
    if (values.empty()) {
        return kNaN;
    }
    const auto at = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 4);
    std::nth_element(values.begin(), at, values.end());
    return *at;
}

// Of the slots of a frame, px; 0 where the log does not tell.
double logged_smear_px(const FrameOutcome& outcome) {
    std::vector<double> each;
    for (const ModuleSlot& slot : outcome.record.slots) {
        each.push_back(slot.smear_px);
    }
    const double median = take_median(each);
    return std::isfinite(median) ? median : 0.0;
}

// Variance that the survey's sharp frames show across bands of one direction.
double sharp_variance_px2(const std::vector<FrameOutcome>& outcomes,
                          BandSpread FrameSpread::*direction,
                          double blur_px) {
    std::vector<double> measured;
    std::vector<double> expected;
    for (const FrameOutcome& outcome : outcomes) {
        const BandSpread& spread = outcome.spread.*direction;
        measured.push_back(spread.variance_px2);
        const double smear = logged_smear_px(outcome);
        expected.push_back(spread.width_px2 + blur_px * blur_px + smear * smear + kBorder_px2);
    }
    return std::fmin(lower_quartile(std::move(measured)), take_median(expected));
}

double excess_px2(const BandSpread& spread, double sharp_px2) {
    return std::isfinite(spread.variance_px2) ? std::max(0.0, spread.variance_px2 - sharp_px2) : 0.0;
}

}  // namespace

int mark_measured_smear(const SurveyInputs& inputs, std::vector<FrameOutcome>& outcomes) {
    const CameraSettings& camera = inputs.settings.frame_camera();
    const double along_px2 = sharp_variance_px2(outcomes, &FrameSpread::along, camera.blur_sigma_px);
    const double across_px2 = sharp_variance_px2(outcomes, &FrameSpread::across, camera.blur_sigma_px);
    int flagged = 0;
    for (FrameOutcome& outcome : outcomes) {
        const double excess =
            excess_px2(outcome.spread.along, along_px2) + excess_px2(outcome.spread.across, across_px2);
        if (!(excess > kLeastExcess_px2)) {
            continue;
        }
        outcome.unlogged_smear_px2 = excess;
        bool news = false;
        for (std::size_t i = 0; i < outcome.record.slots.size(); ++i) {
            ModuleSlot& slot = outcome.record.slots[i];
            const double logged = std::isfinite(slot.smear_px) ? slot.smear_px : 0.0;
            slot.smear_px = std::sqrt(logged * logged + excess);
            outcome.views[i].view.smear_px = slot.smear_px * camera.native_share();
            if (slot.smear_px > inputs.profile.maximum_smear_px.value && !slot.flags.has(Flag::smeared)) {
                slot.flags.set(Flag::smeared);
                outcome.views[i].view.flags.set(Flag::smeared);
                news = true;
            }
        }
        flagged += news ? 1 : 0;
    }
    return flagged;
}

}  // namespace heatrow
