#include "survey_inputs.hpp"

#include "control.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/georeference/missing_positions.hpp"
#include "heatrow/io/control_reader.hpp"
#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/flat_field_map.hpp"
#include "heatrow/io/layout_reader.hpp"
#include "heatrow/io/lens_settings.hpp"
#include "heatrow/io/profile_reader.hpp"
#include "heatrow/io/response_reader.hpp"
#include "heatrow/io/sha256.hpp"
#include "heatrow/io/site_conditions.hpp"
#include "heatrow/io/survey_poses.hpp"
#include "heatrow/io/tracker_axes.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace heatrow {
namespace {

ConditionsLimits limits_of(const Profile& profile) {
    ConditionsLimits limits;
    limits.minimum_irradiance = WattsPerSquareMetre(profile.minimum_irradiance_w_m2.value);
    limits.maximum_wind = MetresPerSecond(profile.maximum_wind_m_s.value);
    limits.maximum_change_per_minute = profile.maximum_irradiance_change_per_minute.value;
    limits.settling_time = std::chrono::minutes(static_cast<long>(profile.settling_time_min.value));
    limits.maximum_cloud_okta = profile.maximum_cloud_okta.value;
    return limits;
}

// The readings of [electrical], with what was left out of them as findings of the survey.
std::optional<ElectricalReadings> read_electrical(SurveyInputs& inputs) {
    if (!inputs.settings.electrical) {
        return std::nullopt;
    }
    ElectricalLog log = read_survey_electrical(inputs.settings, inputs.layout);
    inputs.electrical_findings = std::move(log.findings);
    return ElectricalReadings{std::move(log.strings), inputs.settings.electrical->load};
}

void bind_conditions(SurveyInputs& inputs) {
    const std::size_t count = inputs.frames.priors.size();
    std::size_t timed = 0;
    std::size_t bound = 0;
    for (std::size_t i = 0; i < count; ++i) {
        const auto& rejection = inputs.frames.rejections[i];
        if (rejection) {
            inputs.frame_conditions.emplace_back(tl::unexpected(*rejection));
            continue;
        }
        ++timed;
        inputs.frame_conditions.push_back(inputs.conditions.of_frame(static_cast<int>(i)));
        bound += inputs.frame_conditions.back().has_value() ? 1U : 0U;
    }
    if (timed > 0 && bound == 0) {
        const ConditionsLog& log = inputs.conditions.site().log;
        const auto first =
            std::find_if(inputs.frame_conditions.begin(), inputs.frame_conditions.end(), [](const auto& c) {
                return !c.has_value() && c.error().reason == RejectReason::no_conditions;
            });
        throw Error(ErrorKind::input,
                    "the conditions log speaks for no frame",
                    inputs.settings.conditions.log.filename().string(),
                    fmt::format("it runs from {} to {}; {}",
                                to_iso8601(log.series.begins()),
                                to_iso8601(log.series.ends()),
                                first->error().detail),
                    "Use the log of the survey's day, or correct the clock of the log or the camera in survey.toml.");
    }
}

// Puts the tables where they stood in the middle of the survey, which stands for all of it where one site has to.
void turn_trackers(SurveyInputs& inputs) {
    inputs.trackers.emplace(
        *inputs.settings.trackers, read_tracker_axes(inputs.settings.site.layout, inputs.layout), inputs.layout);
    std::vector<UtcTime> times;
    for (std::size_t i = 0; i < inputs.frames.priors.size(); ++i) {
        if (!inputs.frames.rejections[i]) {
            times.push_back(inputs.frames.priors[i].time);
        }
    }
    if (times.empty()) {
        return;
    }
    std::sort(times.begin(), times.end());
    inputs.layout = turned_layout(inputs.layout, inputs.trackers->axes(), inputs.trackers->at(times[times.size() / 2]));
}

// The tiles of the orthomosaic as frames, and their camera in place of the one that took its pictures, whose geometry
// the mosaic has lost.
void take_mosaic(SurveyInputs& inputs) {
    SurveySettings& settings = inputs.settings;
    constexpr double kReach_m = 10.0;  // beyond the displacements that the alignment searches
    inputs.mosaic = plan_mosaic(*settings.frames.mosaic, inputs.layout, kReach_m);
    const Mosaic& mosaic = *inputs.mosaic;
    inputs.lens = mosaic.lens;
    inputs.flat_field.reset();  // it was that of the frames
    inputs.files = mosaic.files;
    inputs.facts.push_back(input_fact("orthomosaic", *settings.frames.mosaic, settings.folder));
    for (FrameFile& file : inputs.files) {
        file.sha256 = inputs.facts.back().sha256;
    }
    TemperatureEncoding& encoding = settings.temperature.encoding;
    encoding.nodata = encoding.nodata ? encoding.nodata : mosaic.nodata;
    for (CameraSettings& camera : settings.cameras) {
        if (camera.id == settings.frames.camera) {
            camera.width_px = camera.native_width_px = mosaic.lens.width_px;
            camera.height_px = mosaic.lens.height_px;
            camera.focal_px = mosaic.lens.focal_px;
            camera.principal_point_px = {mosaic.lens.principal_point_px.x(), mosaic.lens.principal_point_px.y()};
            camera.distortion = {};
            camera.time_constant_ms.reset();
            camera.refine = false;
        }
    }
    for (std::size_t i = 0; i < inputs.files.size(); ++i) {
        inputs.frames.priors.push_back(
            {static_cast<int>(i), inputs.files[i].name, settings.frames.mosaic_time, mosaic.tiles[i].pose, {}});
    }
    inputs.frames.rejections.assign(inputs.files.size(), std::nullopt);
    inputs.notes.push_back(fmt::format(
        "An orthomosaic stands in for frames: {} tiles of {:.3f} m a pixel, taken as seen straight down at {}. Every "
        "module is one view: reflections that move with the camera cannot be told from faults, nor one frame checked "
        "against another. Its blur is not known and assumed to be {:.2f} px; what the stitching blended, and the air "
        "below the camera, is not corrected.",
        inputs.files.size(),
        mosaic.pixel_m,
        to_iso8601(settings.frames.mosaic_time),
        settings.frame_camera().blur_sigma_px));
}

// The frames of a folder and what is known of their places.
void take_frames(SurveyInputs& inputs, const std::vector<std::string>& hold) {
    const SurveySettings& settings = inputs.settings;
    const auto add_fact = [&](const char* role, const std::filesystem::path& file) {
        inputs.facts.push_back(input_fact(role, file, settings.folder));
    };
    inputs.files = list_frames(settings.frames.folder, settings.frames.files);
    inputs.marks = known_pixel_marks(settings.frames, inputs.files, inputs.layout);
    if (settings.control) {
        ControlPoints control =
            read_control_points(*settings.control, settings.frame_camera(), inputs.files, inputs.layout);
        inputs.marks.insert(inputs.marks.end(), control.marks.begin(), control.marks.end());
        inputs.corners = std::move(control.corners);
        add_fact("control points", settings.control->points);
        add_fact("control marks", settings.control->marks);
    }
    for (ControlMark& mark : inputs.marks) {
        // Results name files as seen from the survey's folder.
        if (const std::string folder = settings.folder.string() + "/"; mark.where.starts_with(folder)) {
            mark.where.erase(0, folder.size());
        }
    }
    hold_control(hold, inputs);
    const std::vector<std::string> layout_notes = fit_layout(inputs);
    const SurveyPoses poses = read_survey_poses(settings, inputs.files, inputs.layout);
    for (const auto& [role, file] : poses.files) {
        add_fact(role.c_str(), file);
    }
    inputs.notes = poses.table.notes;
    inputs.notes.insert(inputs.notes.end(), layout_notes.begin(), layout_notes.end());
    if (const auto& visible = settings.visible_frames) {
        add_fact("visible times", visible->times);
        inputs.visible = list_visible_frames(*visible, settings.camera_named(visible->camera).clock);
        inputs.notes.insert(inputs.notes.end(), inputs.visible.notes.begin(), inputs.visible.notes.end());
        for (const VisibleFrame& frame : inputs.visible.frames) {
            add_fact("visible frame", frame.file.path);
        }
    }
    CornerTable corners;
    if (settings.frames.corner_points) {
        corners = read_corner_points(*settings.frames.corner_points, inputs.layout);
        add_fact("corner points", *settings.frames.corner_points);
    }
    inputs.frames = make_frame_priors(inputs.files, poses.table, corners, settings.frames.placement);
}

// Frames whose log lacks nothing but the position get one from their neighbours in time.
void fill_positions(SurveyInputs& inputs) {
    FramePriors& frames = inputs.frames;
    inputs.filled_u_m.assign(frames.priors.size(), 0.0);
    if (inputs.settings.frames.placement != FrameSettings::Placement::poses || inputs.mosaic) {
        return;
    }
    const std::vector<FramePrior> logged = frames.priors;
    int filled = 0;
    for (std::size_t i = 0; i < frames.priors.size(); ++i) {
        if (!frames.attitudes[i] || frames.priors[i].pose) {
            continue;
        }
        if (const auto position = position_at(logged, frames.priors[i].time)) {
            frames.priors[i].pose = frames.attitudes[i];
            frames.priors[i].pose->position_in_site = position->position_in_site;
            frames.rejections[i].reset();
            inputs.filled_u_m[i] = position->u_m;
            ++filled;
        }
    }
    if (filled > 0) {
        inputs.notes.push_back(fmt::format(
            "{} of {} frames have no logged position; they were looked for where the frames before and after say.",
            filled,
            frames.priors.size()));
    }
}

// How the modules turn while the conditions log runs. Beyond the tracker log its nearest reading has to do.
PlaneOfModule planes_of(const SurveyInputs& inputs) {
    return [&inputs](int module, UtcTime time) {
        const Module& self = inputs.layout.modules[static_cast<std::size_t>(module)];
        const auto table = static_cast<std::size_t>(self.table);
        const auto& axes = inputs.trackers->axes();
        if (self.table < 0 || !axes[table]) {
            return PlaneOrientation{self.tilt, self.azimuth};
        }
        const Radians rotation = inputs.trackers->near(table, time);
        return std::isnan(rotation.value()) ? PlaneOrientation{self.tilt, self.azimuth}
                                            : tracker_plane({axes[table]->tilt, axes[table]->azimuth}, rotation);
    };
}

void note_inputs(SurveyInputs& inputs) {
    for (const std::string& name : inputs.frames.rows_without_frame) {
        inputs.notes.push_back(fmt::format("The pose table names '{}', but there is no such frame.", name));
    }
    for (const LogFinding& finding : inputs.conditions.site().log.findings) {
        inputs.notes.push_back("Conditions log: " + finding.text);
    }
    const auto& rows = inputs.conditions.site().planes.front().series.rows();
    if (inputs.profile.assumed_humidity_percent.value > 0.0 &&
        std::all_of(
            rows.begin(), rows.end(), [](const auto& row) { return std::isnan(row.relative_humidity_percent); })) {
        inputs.notes.push_back(fmt::format("No humidity was logged: {:.0f} % are assumed for the air path.",
                                           inputs.profile.assumed_humidity_percent.value));
    }
    for (const LogFinding& finding : inputs.electrical_findings) {
        inputs.notes.push_back("Electrical log: " + finding.text);
    }
}

}  // namespace

InputFact input_fact(std::string role, const std::filesystem::path& file, const std::filesystem::path& survey_folder) {
    const auto relative = file.lexically_relative(survey_folder);
    const bool inside = !relative.empty() && *relative.begin() != "..";
    return {std::move(role),
            inside ? relative.generic_string() : file.filename().string(),
            std::filesystem::file_size(file),
            sha256_of_file(file)};
}

SurveyInputs load_survey(const std::filesystem::path& survey, const std::vector<std::string>& hold) {
    SurveyInputs inputs;
    inputs.settings = read_survey_settings(survey);
    const SurveySettings& settings = inputs.settings;
    const auto add_fact = [&](const char* role, const std::filesystem::path& file) {
        inputs.facts.push_back(input_fact(role, file, settings.folder));
    };
    add_fact("settings", settings.file);

    const auto profile_file = find_profile(settings.profile, settings.folder);
    inputs.profile = read_profile(profile_file);
    inputs.limits = limits_of(inputs.profile);
    add_fact("profile", profile_file);

    const ModuleTypeCatalogue types = find_module_types(settings.site.module_types);
    inputs.layout = read_layout(settings.site.layout, types, settings.site.origin, settings.site.elevation);
    add_fact("layout", settings.site.layout);
    if (settings.site.elevation) {
        add_fact("elevation model", *settings.site.elevation);
    }
    for (const ModuleType& type : inputs.layout.types) {
        add_fact("module type", types.file_of(type.id));
    }

    const CameraSettings& camera = settings.frame_camera();
    inputs.lens = lens_of(camera);
    inputs.response = camera.response ? read_response_curve(*camera.response) : response_of(camera.band);
    inputs.band = BandRadiance(inputs.response);
    if (camera.response) {
        add_fact("response curve", *camera.response);
    }
    if (camera.flat_field) {
        inputs.flat_field = read_flat_field(*camera.flat_field, camera.width_px, camera.height_px);
        add_fact("flat field", *camera.flat_field);
    }
    if (settings.frames.mosaic) {
        take_mosaic(inputs);
        hold_control(hold, inputs);
    } else {
        take_frames(inputs, hold);
    }
    fill_positions(inputs);

    if (settings.trackers) {
        turn_trackers(inputs);
        if (settings.trackers->angles == TrackerSettings::Angles::log) {
            add_fact("tracker log", settings.trackers->log);
        }
    }
    SiteConditions site =
        read_site_conditions(settings.conditions, inputs.layout, inputs.trackers ? planes_of(inputs) : PlaneOfModule());
    add_fact("conditions", settings.conditions.log);
    if (settings.conditions.reports) {
        add_fact("weather reports", *settings.conditions.reports);
    }
    auto electrical = read_electrical(inputs);
    if (electrical) {
        add_fact("electrical", settings.electrical->log);
    }
    std::vector<UtcTime> times;
    for (const FramePrior& prior : inputs.frames.priors) {
        times.push_back(prior.time);
    }
    inputs.conditions =
        ModuleConditions(inputs.layout, std::move(site), std::move(electrical), std::move(times), inputs.limits);
    bind_conditions(inputs);
    note_inputs(inputs);
    return inputs;
}

}  // namespace heatrow
