// Everything that a run knows before it looks at pixels.
#pragma once

#include "heatrow/camera/lens.hpp"
#include "heatrow/core/control_mark.hpp"
#include "heatrow/core/image.hpp"
#include "heatrow/io/frame_set.hpp"
#include "heatrow/io/manifest.hpp"
#include "heatrow/io/mosaic.hpp"
#include "heatrow/io/pose_reader.hpp"
#include "heatrow/io/survey_settings.hpp"
#include "heatrow/io/visible_frames.hpp"
#include "heatrow/radiometry/blackbody.hpp"
#include "heatrow/score/profile.hpp"
#include "heatrow/site/layout.hpp"
#include "heatrow/site/layout_fit.hpp"
#include "module_conditions.hpp"
#include "tracker_angles.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace heatrow {

struct SurveyInputs {
    SurveySettings settings;
    Profile profile;
    Layout layout;                          // with trackers: as it stood in the middle of the survey
    std::optional<TrackerAngles> trackers;  // how its tables turn
    Lens lens;
    std::vector<ResponsePoint> response = response_of(Band{});  // of the camera
    BandRadiance band{Band{}};
    std::optional<Image<float>> flat_field;  // counts, to be subtracted from every frame
    std::vector<FrameFile> files;            // in frame order
    std::optional<Mosaic> mosaic;            // whose tiles the frames are
    FramePriors frames;
    VisibleFrames visible;  // partners of the frames; empty where there are none
    // One for each frame: standard uncertainty of a position that was not logged but filled in from its neighbours, m;
    // 0 where it was logged.
    std::vector<double> filled_u_m;
    std::vector<ControlMark> marks;       // known pixels and control points
    std::vector<SurveyedCorner> corners;  // onto which `layout` was moved
    ConditionsLimits limits;
    ModuleConditions conditions;
    std::vector<LogFinding> electrical_findings;
    // Conditions of each frame at its capture time; a rejection where the log does not speak for it.
    std::vector<tl::expected<FrameConditions, Rejection>> frame_conditions;
    std::vector<InputFact> facts;    // of every file read so far, in the order of reading
    std::vector<std::string> notes;  // for the reader of the report
};

// Whether the frame's log itself says where it was.
inline bool is_logged(const SurveyInputs& inputs, std::size_t frame) {
    return inputs.frames.priors[frame].pose && (inputs.filled_u_m.empty() || inputs.filled_u_m[frame] == 0.0);
}

// Throws Error: see the readers; and where the log speaks for no frame (a log of another day), or no frame has a pose.
// hold: names of frames, modules or points whose control is only compared (hold_control).
SurveyInputs load_survey(const std::filesystem::path& survey, const std::vector<std::string>& hold = {});

// One file that was read, with its hash. Names inside the survey folder are relative to it.
InputFact input_fact(std::string role, const std::filesystem::path& file, const std::filesystem::path& survey_folder);

}  // namespace heatrow
