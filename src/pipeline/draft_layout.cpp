#include "heatrow/pipeline/draft_layout.hpp"

#include "draft_plan.hpp"
#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/flat_field_map.hpp"
#include "heatrow/io/lens_settings.hpp"
#include "heatrow/io/profile_reader.hpp"
#include "heatrow/io/survey_poses.hpp"
#include "seen_grids.hpp"

#include <Eigen/Geometry>
#include <fmt/format.h>

#include <algorithm>
#include <numeric>

namespace heatrow {
namespace {

constexpr std::string_view kFailed = "cannot draft a layout";

// What a run knows of a survey that has no layout.
SurveyInputs load_without_layout(const std::filesystem::path& survey) {
    SurveyInputs inputs;
    inputs.settings = read_survey_settings(survey);
    const SurveySettings& settings = inputs.settings;
    if (!settings.site.origin) {
        throw Error(ErrorKind::usage,
                    kFailed,
                    settings.file.string(),
                    "it names no site.origin, and without a layout nothing else says where the site is",
                    "Add origin = { longitude = ..., latitude = ..., height_m = ... } to [site]");
    }
    inputs.profile = read_profile(find_profile(settings.profile, settings.folder));
    inputs.layout.origin = *settings.site.origin;
    const CameraSettings& camera = settings.frame_camera();
    inputs.lens = lens_of(camera);
    if (camera.flat_field) {
        inputs.flat_field = read_flat_field(*camera.flat_field, camera.width_px, camera.height_px);
    }
    inputs.files = list_frames(settings.frames.folder, settings.frames.files);
    return inputs;
}

// Indices of the frames with a pose, in the order in which they were taken.
std::vector<std::size_t> posed_frames(SurveyInputs& inputs, LayoutDraft& draft) {
    const SurveyPoses poses = read_survey_poses(inputs.settings, inputs.files, inputs.layout);
    inputs.frames = make_frame_priors(inputs.files, poses.table, {}, FrameSettings::Placement::poses);
    draft.notes.insert(draft.notes.end(), poses.table.notes.begin(), poses.table.notes.end());
    std::vector<std::size_t> wanted;
    for (std::size_t i = 0; i < inputs.files.size(); ++i) {
        if (!inputs.frames.rejections[i] && inputs.frames.priors[i].pose) {
            wanted.push_back(i);
        }
    }
    if (wanted.empty()) {
        const auto& why = inputs.frames.rejections.front();
        throw Error(ErrorKind::input,
                    kFailed,
                    inputs.settings.file.string(),
                    fmt::format("none of its {} frames has a pose; the first: {}",
                                inputs.files.size(),
                                why ? why->detail : std::string("none")),
                    "Draft from one frame that shows all of a roof face, with --frame, --tilt and --azimuth; or "
                    "describe the array and use 'layout make'");
    }
    std::stable_sort(wanted.begin(), wanted.end(), [&](std::size_t a, std::size_t b) {
        return inputs.frames.priors[a].time < inputs.frames.priors[b].time;
    });
    return wanted;
}

std::size_t named_frame(const SurveyInputs& inputs, const std::string& name) {
    const auto file = std::find_if(
        inputs.files.begin(), inputs.files.end(), [&](const FrameFile& known) { return known.name == name; });
    if (file == inputs.files.end()) {
        throw Error(ErrorKind::usage,
                    kFailed,
                    name,
                    fmt::format("there is no such frame in {}", inputs.settings.frames.folder.string()),
                    fmt::format("Name one of its {} frames, e.g. {}", inputs.files.size(), inputs.files.front().name));
    }
    return static_cast<std::size_t>(file - inputs.files.begin());
}

// A pose at which the frame's largest grid faces as told, up the picture being up the slope, and the middle of its
// lower left module lies at the site's origin.
FramePose pose_over(const SeenGrid& grid, const UnposedFrame& frame) {
    const PlaneFrame plane(frame.tilt_deg, frame.azimuth_deg);
    Eigen::Matrix3d site_from_plane;
    site_from_plane << plane.right, plane.up, plane.right.cross(plane.up);
    const Eigen::Matrix3d site_from_camera = site_from_plane * grid.camera_from_plane.transpose();
    const SeenModule* corner = &grid.modules.front();
    for (const SeenModule& module : grid.modules) {
        corner = module.row - module.column > corner->row - corner->column ? &module : corner;
    }
    return pose_from(site_from_camera, -(site_from_camera * corner->centre_in_camera));
}

void note_frames_without(const SurveyInputs& inputs,
                         const std::vector<std::size_t>& wanted,
                         const std::vector<FrameGrids>& found,
                         LayoutDraft& draft) {
    for (std::size_t i = 0; i < wanted.size(); ++i) {
        if (!found[i].why_none.empty()) {
            draft.notes.push_back(fmt::format("{}: {}", inputs.files[wanted[i]].name, found[i].why_none));
        }
    }
}

}  // namespace

LayoutDraft draft_layout(const std::filesystem::path& survey, const DraftOptions& options) {
    LayoutDraft draft;
    SurveyInputs inputs = load_without_layout(survey);
    draft.origin = inputs.layout.origin;
    const ModuleTypeCatalogue catalogue = find_module_types(inputs.settings.site.module_types);
    std::vector<ModuleType> types;
    for (const std::string& id : options.types) {
        types.push_back(catalogue.read(id));
    }
    const std::vector<std::size_t> wanted = options.frame
                                                ? std::vector<std::size_t>{named_frame(inputs, options.frame->name)}
                                                : posed_frames(inputs, draft);
    const std::vector<FrameGrids> found = see_grids(inputs, wanted, types, options.threads, options.progress);
    note_frames_without(inputs, wanted, found, draft);
    std::vector<SeenFrame> frames;
    for (std::size_t i = 0; i < wanted.size(); ++i) {
        SeenFrame frame;
        frame.grids = found[i].grids;
        if (!options.frame) {
            frame.prior = inputs.frames.priors[wanted[i]];
        } else if (!frame.grids.empty()) {
            frame.prior.pose = pose_over(frame.grids.front(), *options.frame);
        }
        draft.frames_with_grids += frame.grids.empty() ? 0 : 1;
        frames.push_back(std::move(frame));
    }
    draft.frames = static_cast<int>(frames.size());
    if (draft.frames_with_grids == 0) {
        throw Error(ErrorKind::input,
                    kFailed,
                    inputs.settings.frames.folder.string(),
                    fmt::format("no frame shows a grid of modules of the types given; {}: {}",
                                inputs.files[wanted.front()].name,
                                found.front().why_none),
                    "Check --type and the camera's focal length; or describe the array and use 'layout make'");
    }
    const JoinedGrids joined = join_grids(frames, inputs.lens);
    for (const auto& [frame, why] : joined.left_out) {
        draft.notes.push_back(
            fmt::format("{}: left out, {}", inputs.files[wanted[static_cast<std::size_t>(frame)]].name, why));
    }
    draft.frames_joined = draft.frames_with_grids - static_cast<int>(joined.left_out.size());
    if (draft.frames > 1) {
        draft.yaw_turn_deg = in_degrees(Radians(joined.yaw_turn_rad));
        draft.scale = joined.scale;
    }
    plan_draft(joined, types, draft);
    return draft;
}

}  // namespace heatrow
