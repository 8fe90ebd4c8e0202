// poses.csv and corners.csv (docs/formats/poses-csv.md), and what they say of the frames of a survey.
#pragma once

#include "heatrow/core/frame_prior.hpp"
#include "heatrow/core/rejection.hpp"
#include "heatrow/core/time.hpp"
#include "heatrow/io/frame_set.hpp"
#include "heatrow/io/survey_settings.hpp"
#include "heatrow/io/written_pose.hpp"
#include "heatrow/site/layout.hpp"

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// What a table, a log or a frame's tags say of one frame, as written.
struct WrittenRow {
    std::string frame;
    std::string where;            // file and line, or the frame whose tags they are; for messages
    std::optional<UtcTime> time;  // absent: the field is empty
    WrittenPose pose;
};

struct PoseRow {
    std::string frame;
    std::string where;
    std::optional<UtcTime> time;    // absent: the field is empty
    std::optional<FramePose> pose;  // absent: `missing` says why
    std::string missing;
    std::optional<FramePose> attitude;  // at the site's origin, where nothing but the position is missing
};

struct PoseTable {
    std::vector<PoseRow> rows;
    std::vector<std::string> notes;  // what was read otherwise than written, in words
};

// Rows to poses. A flight whose pitches all lie within 10 degrees of -90 counts them from the horizon: 90 degrees are
// added, and a note says so; not where the rules add to the pitch themselves. Errors as PoseMaker::make.
PoseTable make_poses(const std::vector<WrittenRow>& rows, const PoseMaker& maker);

// poses.csv. `columns` maps quantities (frame, time and those of the rules) to heads; those not mapped stand under
// their own name. Throws Error(input) naming file, line, column and value: missing column, a field that is no number or
// time, a frame named twice.
std::vector<WrittenRow> read_pose_rows(const std::filesystem::path& file,
                                       const Clock& camera_clock,
                                       const PoseRules& rules,
                                       const std::map<std::string, std::string>& columns = {});
std::vector<WrittenRow> parse_pose_rows(std::string_view text,
                                        const std::filesystem::path& file,
                                        const Clock& camera_clock,
                                        const PoseRules& rules,
                                        const std::map<std::string, std::string>& columns = {});

// Corner points by frame name. Throws Error(input) for an unknown module or corner, fewer than four points on a frame,
// or points that all but lie on one line.
using CornerTable = std::map<std::string, std::vector<CornerPoint>>;
CornerTable read_corner_points(const std::filesystem::path& file, const Layout& layout);
CornerTable parse_corner_points(std::string_view text, const std::filesystem::path& file, const Layout& layout);

// Index of a corner in Module::corners_in_site by its name. Throws Error(input) naming `where` for another word.
int corner_named(std::string_view name, const std::string& where);

// Every frame of the survey with its prior, in the order of `frames`, or the reason why it takes no part: no_pose (no
// row, no position; with corner points: no points) or no_time.
struct FramePriors {
    std::vector<FramePrior> priors;
    std::vector<std::optional<Rejection>> rejections;  // one per frame
    // One per frame: at the site's origin, of frames that have a time and lack nothing but the position.
    std::vector<std::optional<FramePose>> attitudes;
    std::vector<std::string> rows_without_frame;  // frames named in the tables that are not among `frames`
};
FramePriors make_frame_priors(const std::vector<FrameFile>& frames,
                              const PoseTable& poses,
                              const CornerTable& corners,
                              FrameSettings::Placement placement);

}  // namespace heatrow
