#include "heatrow/pipeline/analyse.hpp"

#include "align_survey.hpp"
#include "assemble.hpp"
#include "cell_looks.hpp"
#include "condition_limits.hpp"
#include "effective_settings.hpp"
#include "finding_crops.hpp"
#include "finding_pictures.hpp"
#include "frame_pass.hpp"
#include "frame_smear.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/pipeline/interrupt.hpp"
#include "heatrow/pipeline/threads.hpp"
#include "heatrow/score/seen_cover.hpp"
#include "mirrored_sun.hpp"
#include "module_shade.hpp"
#include "name_frames.hpp"
#include "slot_cache.hpp"
#include "survey_inputs.hpp"
#include "table_strips.hpp"
#include "visible_looks.hpp"
#include "visible_partners.hpp"
#include "visible_pictures.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <memory>
#include <optional>
#include <system_error>

namespace heatrow {
namespace {

// What was read of each string while its modules were photographed; empty without an electrical log.
std::vector<StringLoad> string_loads(const SurveyInputs& inputs, const std::vector<ModuleInput>& modules) {
    if (!inputs.settings.electrical) {
        return {};
    }
    std::vector<std::vector<int>> frames(inputs.layout.strings.size());
    for (const ModuleInput& module : modules) {
        const int string = inputs.layout.modules[static_cast<std::size_t>(module.fused.module)].string;
        if (string >= 0) {
            auto& own = frames[static_cast<std::size_t>(string)];
            own.insert(own.end(), module.fused.frames.begin(), module.fused.frames.end());
        }
    }
    std::vector<StringLoad> loads;
    for (std::size_t s = 0; s < frames.size(); ++s) {
        auto& own = frames[s];
        std::sort(own.begin(), own.end());
        own.erase(std::unique(own.begin(), own.end()), own.end());
        loads.push_back(inputs.conditions.load_of(static_cast<int>(s), own));
    }
    return loads;
}

// Of a difference in this survey, K per K.
double usual_relative_u(const std::vector<ModuleInput>& modules) {
    std::vector<double> each;
    for (const ModuleInput& module : modules) {
        each.push_back(module.shared.difference_relative_u);
    }
    return take_median(each);
}

// For runs that keep no records; empty where there is none.
std::filesystem::path scratch_folder() {
    std::error_code none;
    return std::filesystem::temp_directory_path(none);
}

// A run without a single usable frame has no result; the reasons of the first frames say why.
void require_usable_frames(const std::vector<FrameOutcome>& outcomes, const SurveyInputs& inputs) {
    const auto usable = [](const FrameOutcome& outcome) { return !outcome.rejection; };
    if (std::any_of(outcomes.begin(), outcomes.end(), usable)) {
        return;
    }
    const Rejection& first = *outcomes.front().rejection;
    throw Error(ErrorKind::input,
                "no frame of the survey can be used",
                inputs.settings.frames.folder.filename().string() + "/" + inputs.files.front().name,
                fmt::format("{} ({} frames in all)", first.detail, outcomes.size()),
                "See 'heatrow inspect' for what the frames are.");
}

std::vector<std::string> find_breaches(const SurveyRecord& record) {
    std::vector<std::string> breaches;
    const auto count_frames = [&](Flag flag) {
        return std::count_if(record.frames.begin(), record.frames.end(), [flag](const FrameResult& frame) {
            return frame.conditions.flags.has(flag);
        });
    };
    for (const Flag flag : kConditionLimits) {
        if (const auto count = count_frames(flag); count > 0) {
            breaches.push_back(fmt::format("{} of {} frames: {}", count, record.frames.size(), to_string(flag)));
        }
    }
    const auto left = std::count_if(
        record.modules.begin(), record.modules.end(), [](const ModuleResult& module) { return !module.assessed; });
    const auto refused = std::count_if(record.control.begin(), record.control.end(), [](const ControlResult& control) {
        return control.use == ControlResult::Use::refused;
    });
    if (refused > 0) {
        breaches.push_back(fmt::format("{} of {} control marks not used", refused, record.control.size()));
    }
    if (left > 0) {
        breaches.push_back(fmt::format("{} of {} modules not assessed", left, record.modules.size()));
    }
    return breaches;
}

RunFacts run_facts(const SurveyInputs& inputs,
                   const std::vector<FrameOutcome>& outcomes,
                   const AnalyseOptions& options) {
    RunFacts facts;
    facts.program_version = options.program_version;
    facts.command = "analyse";
    facts.profile = inputs.profile;
    facts.inputs = inputs.facts;
    for (std::size_t i = 0; !inputs.mosaic && i < outcomes.size(); ++i) {
        const auto name = inputs.files[i].path.lexically_relative(inputs.settings.folder).generic_string();
        facts.inputs.push_back({"frame", name, outcomes[i].bytes, outcomes[i].sha256});
    }
    facts.settings = effective_settings(inputs.settings);
    facts.work_list = inputs.settings.work_list;
    facts.decimal_comma_tables = inputs.settings.decimal_comma_tables;
    for (const CameraSettings& camera : inputs.settings.cameras) {
        facts.clocks.push_back({"camera " + camera.id, camera.clock});
    }
    if (inputs.settings.poses.source == PoseSettings::Source::flight_log) {
        facts.clocks.push_back({"flight log", inputs.settings.poses.flight_log_clock});
    }
    facts.clocks.push_back({"conditions log", inputs.settings.conditions.clock});
    if (inputs.settings.electrical) {
        facts.clocks.push_back({"electrical log", inputs.settings.electrical->clock});
    }
    return facts;
}

}  // namespace

AnalyseResult analyse(const std::filesystem::path& survey, const AnalyseOptions& options) {
    const auto shared_inputs = std::make_shared<SurveyInputs>(load_survey(survey, options.hold));
    SurveyInputs& inputs = *shared_inputs;
    stop_if_interrupted();
    const LayoutIndex site(inputs.layout);
    std::optional<SlotCache> kept;
    SlotCache& cache = options.cache ? kept.emplace(inputs, *options.cache) : kept.emplace(scratch_folder());
    const SurveyAlignment alignment = align_survey(inputs, site, options.threads, options.progress, cache);
    auto outcomes = run_frame_pass(inputs, site, alignment, options.threads, options.progress, cache);
    const std::size_t frames_kept = cache.frames_found();
    require_usable_frames(outcomes, inputs);

    NamedFrames named = name_frames(inputs, site, alignment, options.threads, options.progress, cache, outcomes);
    const int smeared = mark_measured_smear(inputs, outcomes);
    auto modules = fuse_modules(inputs, outcomes, cache.views(), named.views, options.threads, options.progress);
    for (FrameOutcome& outcome : outcomes) {  // fused: what is left to ask of a frame is its record
        outcome.views = {};
        outcome.view_conditions = {};
    }
    const std::string mirrored_sun = mark_mirrored_sun(inputs, site, outcomes, modules);
    predict_shade(inputs, site, options.threads, options.progress, modules);
    see_covers(inputs.layout, inputs.profile, modules);
    look_into_hot_cells(inputs, outcomes, named.views, options.threads, options.progress, modules);
    const VisiblePartners partners(inputs, site, outcomes);
    look_at_visible_frames(inputs, site, partners, named.views, options.threads, options.progress, modules);
    const auto loads = string_loads(inputs, modules);
    auto scores = score({inputs.layout,
                         modules,
                         inputs.profile,
                         usual_relative_u(modules),
                         loads,
                         inputs.settings.site.specific_yield_kwh_kw,
                         on_threads(options.threads)});
    for (const int module : named.contradicted) {  // frames show its place, but what stands there is not what is drawn
        std::string& why = scores.modules[static_cast<std::size_t>(module)].assessed_reason;
        if (why == reason::kNotSeen) {
            why = reason::kOutlineMismatch;
        }
    }

    AnalyseResult result;
    result.record = assemble_record(inputs, outcomes, std::move(named.views), modules, std::move(scores));
    modules.clear();  // a few kilobytes each: pictures need them no more
    result.record.control = std::move(named.control);
    result.record.program = "heatrow " + options.program_version;
    result.record.notes.insert(result.record.notes.end(), named.notes.begin(), named.notes.end());
    if (!mirrored_sun.empty()) {
        result.record.notes.push_back(mirrored_sun);
    }
    if (smeared > 0) {
        result.record.notes.push_back(
            fmt::format("{} of {} frames are smeared by more than {:.1f} px although the logged speed does not say so. "
                        "Their views count only where there is no sharper one.",
                        smeared,
                        outcomes.size(),
                        inputs.profile.maximum_smear_px.value));
    }
    result.tables = make_table_strips(shared_inputs, outcomes, result.record, options.progress);
    FindingPictures pictures = make_finding_pictures(inputs, result.record, options.threads, options.progress);
    result.record.pictures = std::move(pictures.pictures);
    result.pictures = std::move(pictures.bytes);
    result.facts = run_facts(inputs, outcomes, options);
    result.record.run = describe_run(result.facts);
    result.record.crops = make_finding_crops(inputs, result.record, options.threads, options.progress);
    VisiblePictures visible = make_visible_pictures(inputs, partners, result.record, options.threads, options.progress);
    result.record.visible_pictures = std::move(visible.pictures);
    result.record.notes.insert(result.record.notes.end(), visible.notes.begin(), visible.notes.end());
    result.outside_limits = find_breaches(result.record);
    result.records = {frames_kept, outcomes.size(), cache.path(), cache.problem()};
    return result;
}

}  // namespace heatrow
