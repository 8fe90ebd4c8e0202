// poses.csv and corners.csv (docs/formats/poses-csv.md), and what they say of the frames of a survey.
#pragma once

#include "heatrow/core/frame_prior.hpp"
#include "heatrow/core/rejection.hpp"
#include "heatrow/core/time.hpp"
#include "heatrow/io/frame_set.hpp"
#include "heatrow/io/site_projection.hpp"
#include "heatrow/io/survey_settings.hpp"
#include "heatrow/site/layout.hpp"

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

struct PoseRow {
    std::string frame;
    int line = 0;                   // in the file, from 1
    std::optional<UtcTime> time;    // absent: the field is empty
    std::optional<FramePose> pose;  // absent: a field of the position or attitude is empty, or the position is 0, 0
    std::string missing;            // why there is no pose
};

struct PoseTable {
    std::vector<PoseRow> rows;
    std::vector<std::string> ignored_columns;
};

// Throws Error(input) naming file, line, column and value: missing column, a field that is no number or time, a frame
// named twice, latitude or longitude out of range.
PoseTable read_poses(const std::filesystem::path& file,
                     const Clock& camera_clock,
                     FrameSettings::Altitude altitude,
                     const SiteProjection& projection);
PoseTable parse_poses(std::string_view text,
                      const std::filesystem::path& file,
                      const Clock& camera_clock,
                      FrameSettings::Altitude altitude,
                      const SiteProjection& projection);

// Corner points by frame name. Throws Error(input) for an unknown module or corner, fewer than four points on a frame,
// or points that all but lie on one line.
using CornerTable = std::map<std::string, std::vector<CornerPoint>>;
CornerTable read_corner_points(const std::filesystem::path& file, const Layout& layout);
CornerTable parse_corner_points(std::string_view text, const std::filesystem::path& file, const Layout& layout);

// Every frame of the survey with its prior, in the order of `frames`, or the reason why it takes no part: no_pose (no
// row, no position; with corner points: no points) or no_time.
struct FramePriors {
    std::vector<FramePrior> priors;
    std::vector<std::optional<Rejection>> rejections;  // one per frame
    std::vector<std::string> rows_without_frame;       // frames named in the tables that are not among `frames`
};
FramePriors make_frame_priors(const std::vector<FrameFile>& frames,
                              const PoseTable& poses,
                              const CornerTable& corners,
                              FrameSettings::Placement placement);

}  // namespace heatrow
