#include "assemble.hpp"
#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/radiometry/air.hpp"
#include "limit_lines.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

namespace heatrow {
namespace {

ModuleResult module_result(const ModuleScore& score, const ModuleInput* input) {
    ModuleResult result;
    result.module = score.module;
    result.assessed = score.assessed;
    result.assessed_reason = score.assessed_reason;
    result.temperature = score.temperature;
    result.delta_t_1000 = score.delta_t_1000;
    result.hottest_cell = score.hottest_cell;
    result.hottest_cell_delta_t_1000 = score.hottest_cell_delta_t_1000;
    result.abnormality = score.abnormality;
    result.flags = score.flags;
    if (input == nullptr) {
        return result;
    }
    const FusedModule& fused = input->fused;
    result.placement = input->placement;
    result.frames = fused.frames;
    result.cell_short_px = fused.cell_short_px;
    result.view_angle = fused.view_angle;
    result.cells.reserve(score.cells.size());
    for (std::size_t i = 0; i < score.cells.size(); ++i) {
        result.cells.push_back(
            {fused.cells[i].temperature, score.cells[i].delta_t, score.cells[i].delta_t_1000, fused.cells[i].views});
    }
    return result;
}

StringResult string_result(const StringScore& score) {
    StringResult result;
    result.string = score.string;
    result.modules_assessed = score.modules_assessed;
    result.findings = score.findings;
    result.abnormality = score.abnormality;
    result.delta_t_1000 = score.delta_t_1000;
    return result;
}

// In the plane of most of the modules that the frame shows.
FrameConditions conditions_of(const SurveyInputs& inputs, const FrameOutcome& outcome, std::size_t i) {
    const auto& plane_of_module = inputs.conditions.site().plane_of_module;
    std::map<int, int> seen;
    for (const ModuleSlot& slot : outcome.record.slots) {
        ++seen[plane_of_module[static_cast<std::size_t>(slot.module)]];
    }
    const auto most =
        std::max_element(seen.begin(), seen.end(), [](const auto& a, const auto& b) { return a.second < b.second; });
    const FrameConditions& usual = *inputs.frame_conditions[i];
    if (most == seen.end()) {
        return usual;
    }
    const FrameConditions own = inputs.conditions.in_plane(most->first, static_cast<int>(i));
    return own.irradiance.is_known() ? own : usual;
}

// Site up is zero at the ground that the layout's heights count from.
std::vector<Eigen::Vector3d> footprint_of(const Lens& lens, const FramePose& pose) {
    const auto corners = PosedCamera(lens, pose).footprint(Metres(0.0));
    return corners ? std::vector<Eigen::Vector3d>(corners->begin(), corners->end()) : std::vector<Eigen::Vector3d>();
}

FrameResult frame_result(const SurveyInputs& inputs, const FrameOutcome& outcome, std::size_t i) {
    FrameResult result;
    result.prior = inputs.frames.priors[i];
    if (!is_logged(inputs, i)) {
        result.prior.pose.reset();
    }
    result.rejection = outcome.rejection;
    result.sha256 = outcome.sha256;
    if (inputs.frame_conditions[i]) {
        result.conditions = conditions_of(inputs, outcome, i);
    }
    if (!outcome.rejection) {
        result.pose = outcome.record.pose;
        result.lock_rms_px = outcome.record.lock_rms_px;
        result.scored = !result.conditions.flags.has(Flag::irradiance_below_minimum);
        result.footprint_in_site = footprint_of(inputs.lens, *result.pose);
    }
    if (result.prior.pose) {
        result.footprint_as_logged_in_site = footprint_of(inputs.lens, *result.prior.pose);
    }
    return result;
}

// What the reader must know of the frames, counted by reason.
void note_frames(const std::vector<FrameResult>& frames, std::vector<std::string>& notes) {
    std::map<RejectReason, std::vector<const FrameResult*>> rejected;
    std::size_t dim = 0;
    for (const FrameResult& frame : frames) {
        if (frame.rejection) {
            rejected[frame.rejection->reason].push_back(&frame);
        } else if (!frame.scored) {
            ++dim;
        }
    }
    for (const auto& [reason, of_reason] : rejected) {
        notes.push_back(fmt::format("{} of {} frames took no part: {}, the first {} ({}).",
                                    of_reason.size(),
                                    frames.size(),
                                    to_string(reason),
                                    of_reason.front()->prior.name,
                                    of_reason.front()->rejection->detail));
    }
    if (dim > 0) {
        notes.push_back(
            fmt::format("{} of {} frames were taken below the least irradiance in the module plane. They are kept as "
                        "information and not scored.",
                        dim,
                        frames.size()));
    }
}

// A surface below the dew point is wet: what was measured is water.
void note_condensation(const std::vector<ModuleScore>& scores,
                       const std::vector<const ModuleInput*>& input_of,
                       std::vector<std::string>& notes) {
    std::size_t wet = 0;
    Celsius highest_dew_point(-kZeroCelsiusInKelvin);
    for (const ModuleScore& score : scores) {
        const ModuleInput* input = input_of[static_cast<std::size_t>(score.module)];
        if (input == nullptr) {
            continue;
        }
        const Celsius dew = dew_point(input->conditions.air.value, input->conditions.relative_humidity_percent);
        if (score.temperature.value < dew) {
            ++wet;
            highest_dew_point = std::max(highest_dew_point, dew);
        }
    }
    if (wet > 0) {
        notes.push_back(
            fmt::format("{} modules read below the dew point of the air ({:.1f} degC): their surfaces may be wet, and "
                        "what was measured then is the water.",
                        wet,
                        highest_dew_point.value()));
    }
}

}  // namespace

SurveyRecord assemble_record(const SurveyInputs& inputs,
                             const std::vector<FrameOutcome>& outcomes,
                             std::vector<PlacedView> views,
                             const std::vector<ModuleInput>& modules,
                             ScoreResult scores) {
    SurveyRecord record;
    record.survey_id = inputs.settings.id;
    record.title = inputs.settings.title;
    record.profile_id = inputs.profile.id;
    record.profile_version = inputs.profile.version;
    record.stated = inputs.settings.stated;
    record.profile_title = inputs.profile.title;
    record.limits = limit_lines(inputs.profile);
    record.layout = inputs.layout;
    record.notes = inputs.notes;
    for (std::size_t i = 0; i < outcomes.size(); ++i) {
        record.frames.push_back(frame_result(inputs, outcomes[i], i));
    }
    note_frames(record.frames, record.notes);
    record.views = std::move(views);

    std::vector<const ModuleInput*> input_of(inputs.layout.modules.size(), nullptr);
    for (const ModuleInput& module : modules) {
        input_of[static_cast<std::size_t>(module.fused.module)] = &module;
    }
    record.modules.reserve(scores.modules.size());
    for (ModuleScore& score : scores.modules) {
        record.modules.push_back(module_result(score, input_of[static_cast<std::size_t>(score.module)]));
        score.cells = {};  // of large surveys many megabytes, which the next modules can use
    }
    note_condensation(scores.modules, input_of, record.notes);
    for (const StringScore& score : scores.strings) {
        record.strings.push_back(string_result(score));
    }
    record.findings = std::move(scores.findings);
    record.notes.insert(record.notes.end(), scores.notes.begin(), scores.notes.end());
    return record;
}

}  // namespace heatrow
