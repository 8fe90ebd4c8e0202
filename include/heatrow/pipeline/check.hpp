// Can the crew leave the site? What a survey covers, before anything is scored.
#pragma once

#include "heatrow/core/flags.hpp"
#include "heatrow/core/placed_view.hpp"
#include "heatrow/core/rejection.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/pipeline/progress.hpp"
#include "heatrow/record/control_result.hpp"
#include "heatrow/site/layout.hpp"

#include <cstddef>
#include <filesystem>
#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// How well one module of the layout was photographed.
struct ModuleCoverage {
    Placement placement = Placement::not_seen;
    int views = 0;                // that show it, placed or not
    int good_views = 0;           // placed, and free of the flags below
    double cell_short_px = kNaN;  // detector pixels across the short side of a cell, in its best view
    Flags flags;  // what no view of it is free of: seen_in_part, too_few_pixels, angle_too_shallow, smeared
};

struct RejectedFrames {
    RejectReason reason;
    std::size_t count = 0;
    std::string first;   // name of the first such frame
    std::string detail;  // why that one
};

struct SurveyCheck {
    std::string survey_id;
    Layout layout;
    std::size_t frames = 0;
    std::size_t frames_placed = 0;
    std::vector<RejectedFrames> rejected;        // in the order of the reasons
    std::vector<double> lock_rms_px;             // of each placed frame: what is left at its edges
    std::vector<double> moved_m;                 // of each placed frame: found camera position against the logged one
    std::vector<ModuleCoverage> modules;         // in the order of the layout
    std::map<Flag, std::size_t> frames_outside;  // conditions beyond the profile's limits
    double least_cell_px = 0.0;                  // the profile's
    std::vector<ControlResult> control;          // of each known pixel and control point
    std::vector<std::string> frame_names;        // in the order of the run
    std::vector<std::string> notes;
};

struct CheckOptions {
    int threads = 0;                // 0 = all cores; the result does not depend on it
    std::vector<std::string> hold;  // frames, modules or points whose control is only compared
    Progress progress;
};

// Places every frame and names what it shows, without measuring temperatures. Throws as `analyse`; a survey of which no
// frame can be used is no error here.
SurveyCheck check_survey(const std::filesystem::path& survey, const CheckOptions& options);

// Whether a module must be photographed again, and why.
enum class TakeAgain {
    no,
    not_seen,
    seen_in_part,       // the picture's border cuts it in every view
    ambiguous,          // the frames do not tell it from its neighbours
    too_few_pixels,     // in every view
    angle_too_shallow,  // in every view
    smeared,            // in every view
    never_all_at_once,  // sharp, near enough and steep enough in different views only
};
TakeAgain take_again(const ModuleCoverage& module);
// The stable name used in JSON, e.g. "not_seen".
std::string_view to_string(TakeAgain reason);

}  // namespace heatrow
