#include "heatrow/pipeline/check.hpp"

#include "align_survey.hpp"
#include "condition_limits.hpp"
#include "heatrow/pipeline/interrupt.hpp"
#include "name_frames.hpp"
#include "survey_inputs.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

constexpr Flag kSpoiling[] = {Flag::seen_in_part, Flag::too_few_pixels, Flag::angle_too_shallow, Flag::smeared};

Flags all_spoiling() {
    Flags flags;
    for (const Flag flag : kSpoiling) {
        flags.set(flag);
    }
    return flags;
}

void count_frames(const SurveyInputs& inputs, const std::vector<FrameOutcome>& outcomes, SurveyCheck& check) {
    check.frames = outcomes.size();
    std::map<RejectReason, RejectedFrames> rejected;
    for (std::size_t i = 0; i < outcomes.size(); ++i) {
        const FrameOutcome& outcome = outcomes[i];
        if (outcome.rejection) {
            const Rejection& why = *outcome.rejection;
            const auto [entry, is_new] =
                rejected.try_emplace(why.reason, RejectedFrames{why.reason, 0, inputs.files[i].name, why.detail});
            ++entry->second.count;
            continue;
        }
        ++check.frames_placed;
        if (std::isfinite(outcome.record.lock_rms_px)) {
            check.lock_rms_px.push_back(outcome.record.lock_rms_px);
        }
        if (is_logged(inputs, i)) {
            const Eigen::Vector3d& logged = inputs.frames.priors[i].pose->position_in_site;
            check.moved_m.push_back((outcome.record.pose.position_in_site - logged).norm());
        }
        if (inputs.frame_conditions[i]) {
            for (const Flag flag : kConditionLimits) {
                if (inputs.frame_conditions[i]->flags.has(flag)) {
                    ++check.frames_outside[flag];
                }
            }
        }
    }
    for (auto& [reason, frames] : rejected) {
        check.rejected.push_back(std::move(frames));
    }
}

void count_views(const std::vector<FrameOutcome>& outcomes,
                 const std::vector<PlacedView>& views,
                 double native_share,
                 SurveyCheck& check) {
    std::vector<Flags> in_every_view(check.modules.size(), all_spoiling());
    for (const PlacedView& view : views) {
        if (view.module < 0) {
            continue;
        }
        const auto module = static_cast<std::size_t>(view.module);
        const ModuleSlot& slot =
            outcomes[static_cast<std::size_t>(view.frame)].record.slots[static_cast<std::size_t>(view.slot)];
        ModuleCoverage& coverage = check.modules[module];
        ++coverage.views;
        coverage.cell_short_px = std::fmax(coverage.cell_short_px, slot.cell_short_px * native_share);
        if (view.placement == Placement::placed) {
            coverage.placement = Placement::placed;
        } else if (coverage.placement == Placement::not_seen) {
            coverage.placement = Placement::ambiguous;
        }
        bool spoiled = false;
        for (const Flag flag : kSpoiling) {
            spoiled = spoiled || slot.flags.has(flag);
            if (!slot.flags.has(flag)) {
                in_every_view[module].clear(flag);
            }
        }
        coverage.good_views += view.placement == Placement::placed && !spoiled ? 1 : 0;
    }
    for (std::size_t i = 0; i < check.modules.size(); ++i) {
        check.modules[i].flags = check.modules[i].views > 0 ? in_every_view[i] : Flags();
    }
}

}  // namespace

SurveyCheck check_survey(const std::filesystem::path& survey, const CheckOptions& options) {
    SurveyInputs inputs = load_survey(survey, options.hold);
    stop_if_interrupted();
    const LayoutIndex site(inputs.layout);
    SlotCache cache;  // nothing is kept: check writes no files
    const SurveyAlignment alignment = align_survey(inputs, site, options.threads, options.progress, cache);
    auto outcomes = run_frame_pass(inputs, site, alignment, options.threads, options.progress, cache);

    NamedFrames named = name_frames(inputs, site, alignment, options.threads, options.progress, cache, outcomes);
    SurveyCheck check;
    check.survey_id = inputs.settings.id;
    check.layout = inputs.layout;
    for (const FrameFile& file : inputs.files) {
        check.frame_names.push_back(file.name);
    }
    check.control = named.control;
    check.notes = inputs.notes;
    check.notes.insert(check.notes.end(), named.notes.begin(), named.notes.end());
    check.least_cell_px = inputs.profile.minimum_pixels_per_cell.value;
    check.modules.resize(inputs.layout.modules.size());
    count_frames(inputs, outcomes, check);
    count_views(outcomes, named.views, inputs.settings.frame_camera().native_share(), check);
    return check;
}

TakeAgain take_again(const ModuleCoverage& module) {
    if (module.placement == Placement::not_seen) {
        return TakeAgain::not_seen;
    }
    if (module.placement == Placement::ambiguous) {
        return TakeAgain::ambiguous;
    }
    if (module.flags.has(Flag::seen_in_part)) {
        return TakeAgain::seen_in_part;
    }
    if (module.good_views > 0) {
        return TakeAgain::no;
    }
    return module.flags.has(Flag::too_few_pixels)      ? TakeAgain::too_few_pixels
           : module.flags.has(Flag::angle_too_shallow) ? TakeAgain::angle_too_shallow
           : module.flags.has(Flag::smeared)           ? TakeAgain::smeared
                                                       : TakeAgain::never_all_at_once;
}

std::string_view to_string(TakeAgain reason) {
    switch (reason) {
        case TakeAgain::no:
            return "no";
        case TakeAgain::not_seen:
            return "not_seen";
        case TakeAgain::seen_in_part:
            return "seen_in_part";
        case TakeAgain::ambiguous:
            return "ambiguous";
        case TakeAgain::too_few_pixels:
            return "too_few_pixels";
        case TakeAgain::angle_too_shallow:
            return "angle_too_shallow";
        case TakeAgain::smeared:
            return "smeared";
        case TakeAgain::never_all_at_once:
            return "never_all_at_once";
    }
    return "no";
}

}  // namespace heatrow
