#include "frame_smear.hpp"

#include "heatrow/core/median.hpp"
#include "place_frame.hpp"

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

// Of the slots of a frame, px, by the log or by the frame's own edges; 0 where neither tells.
double stated_smear_px(const FrameOutcome& outcome) {
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
        const double smear = stated_smear_px(outcome);
        expected.push_back(spread.width_px2 + blur_px * blur_px + smear * smear + kBorder_px2);
    }
    return std::fmin(lower_quartile(std::move(measured)), take_median(expected));
}

double excess_px2(const BandSpread& spread, double sharp_px2) {
    return std::isfinite(spread.variance_px2) ? std::max(0.0, spread.variance_px2 - sharp_px2) : 0.0;
}

// Pixels that a metre of the camera's motion moves the picture, where the log's motion is what the slots state.
double px_per_metre(const SurveyInputs& inputs, const std::vector<FrameOutcome>& outcomes) {
    std::vector<double> each;
    for (const FrameOutcome& outcome : outcomes) {
        if (!outcome.record.slots.empty()) {
            each.push_back(stated_smear_px(outcome) /
                           known_camera_motion(inputs, static_cast<std::size_t>(outcome.record.frame)).norm());
        }
    }
    const double usual = lower_quartile(std::move(each));
    return std::isfinite(usual) ? usual : 0.0;
}

}  // namespace

int mark_measured_smear(const SurveyInputs& inputs, std::vector<FrameOutcome>& outcomes) {
    const CameraSettings& camera = inputs.settings.frame_camera();
    const double along_px2 = sharp_variance_px2(outcomes, &FrameSpread::along, camera.blur_sigma_px);
    const double across_px2 = sharp_variance_px2(outcomes, &FrameSpread::across, camera.blur_sigma_px);
    std::vector<double> stated;
    for (const FrameOutcome& outcome : outcomes) {
        stated.push_back(outcome.record.slots.empty() ? kNaN : stated_smear_px(outcome));
    }
    const double usual_px = lower_quartile(stated);
    const double by_metre = px_per_metre(inputs, outcomes);
    int flagged = 0;
    for (std::size_t i = 0; i < outcomes.size(); ++i) {
        FrameOutcome& outcome = outcomes[i];
        const double excess =
            excess_px2(outcome.spread.along, along_px2) + excess_px2(outcome.spread.across, across_px2);
        if (!(excess > kLeastExcess_px2)) {
            continue;
        }
        outcome.unlogged_smear_px2 = excess;
        // What the slots state beyond the usual is a part of the excess.
        const double unstated = std::max(0.0, excess - std::max(0.0, stated[i] * stated[i] - usual_px * usual_px));
        const double logged_px =
            by_metre * known_camera_motion(inputs, static_cast<std::size_t>(outcome.record.frame)).norm();
        bool news = false;
        for (std::size_t s = 0; s < outcome.record.slots.size(); ++s) {
            ModuleSlot& slot = outcome.record.slots[s];
            const double own = std::isfinite(slot.smear_px) ? slot.smear_px : 0.0;
            slot.smear_px = std::sqrt(own * own + unstated);
            outcome.views[s].view.smear_px = slot.smear_px * camera.native_share();
            if (slot.smear_px > inputs.profile.maximum_smear_px.value) {
                slot.flags.set(Flag::smeared);
                outcome.views[s].view.flags.set(Flag::smeared);
                news = news || logged_px <= inputs.profile.maximum_smear_px.value;
            }
        }
        flagged += news ? 1 : 0;
    }
    return flagged;
}

}  // namespace heatrow
