// A draft of a layout from the frames of a survey that has none: module grids found in single frames, joined over
// frames.
#pragma once

#include "heatrow/io/module_type_reader.hpp"
#include "heatrow/pipeline/progress.hpp"
#include "heatrow/site/layout.hpp"
#include "heatrow/site/planned_module.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace heatrow {

// One frame without a pose: how its largest grid lies. The picture's top is taken to be up the slope.
struct UnposedFrame {
    std::string name;
    double tilt_deg = 0.0;
    double azimuth_deg = 0.0;
};

struct DraftOptions {
    std::vector<std::string> types;     // ids of the module types on site, one at least
    std::optional<UnposedFrame> frame;  // this frame alone, its lower left module at the site's origin
    int threads = 0;                    // 0 = all cores; the result does not depend on it
    Progress progress;
};

struct DraftedTable {
    std::string id;
    int modules = 0;
    int columns = 0;
    int tiers = 0;
    int frames = 0;  // that show it
    double tilt_deg = 0.0;
    double azimuth_deg = 0.0;
    std::vector<std::string> doubts;
};

struct LayoutDraft {
    SiteOrigin origin;
    std::vector<PlannedModule> modules;  // by table, tier, column; `doubt` says what to look at
    std::vector<DraftedTable> tables;    // as numbered: from the front row, from the left
    int frames = 0;
    int frames_with_grids = 0;
    int frames_joined = 0;
    double yaw_turn_deg = 0.0;  // by which the logged yaws are too large together; 0 with one frame
    // Size of the site by the positions over that by the modules' sizes.
    double scale = 1.0;
    std::vector<std::string> notes;  // frames left out, and what the draft cannot know
};

// Throws Error: survey.toml and poses as read_survey_settings and read_survey_poses; input where no frame has a pose,
// no frame shows a grid, or none of the frame that is named.
LayoutDraft draft_layout(const std::filesystem::path& survey, const DraftOptions& options);

}  // namespace heatrow
