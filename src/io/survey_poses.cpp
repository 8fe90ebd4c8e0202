#include "heatrow/io/survey_poses.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/io/flight_log.hpp"
#include "heatrow/io/tag_poses.hpp"

#include <fmt/format.h>

#include <cmath>
#include <optional>

namespace heatrow {
namespace {

using Eigen::Vector2d;

// The pose that lies in the middle: one wrong position does not move it.
std::optional<std::size_t> middle_row(const PoseTable& poses) {
    std::vector<double> east;
    std::vector<double> north;
    for (const PoseRow& row : poses.rows) {
        if (row.pose) {
            east.push_back(row.pose->position_in_site.x());
            north.push_back(row.pose->position_in_site.y());
        }
    }
    if (east.empty()) {
        return std::nullopt;
    }
    const Vector2d middle(take_median(east), take_median(north));
    std::optional<std::size_t> nearest;
    double distance = HUGE_VAL;
    for (std::size_t i = 0; i < poses.rows.size(); ++i) {
        if (const auto& pose = poses.rows[i].pose) {
            const double own = (pose->position_in_site.head<2>() - middle).norm();
            if (own < distance) {
                distance = own;
                nearest = i;
            }
        }
    }
    return nearest;
}

void require_near_layout(const std::vector<WrittenRow>& rows,
                         const PoseTable& poses,
                         const PoseMaker& maker,
                         const Layout& layout) {
    const auto middle = layout.modules.empty() ? std::nullopt : middle_row(poses);
    if (!middle) {
        return;
    }
    const PoseRow& row = poses.rows[*middle];
    const double distance = distance_from_layout(layout, row.pose->position_in_site.head<2>());
    if (distance < kFarthestFromLayout_m) {
        return;
    }
    const auto names = maker.rules().names();
    const auto& values = rows[*middle].pose.values;
    throw Error(
        ErrorKind::input,
        "the frames were not taken over this layout",
        row.where,
        fmt::format("{} {:.10g}, {} {:.10g} lies {:.0f} km from the layout, and with it half of the frames",
                    names[0],
                    values[0],
                    names[1],
                    values[1],
                    distance / 1000.0),
        is_near_if_swapped(maker.crs(), values[0], values[1], layout)
            ? fmt::format("{} and {} look swapped: correct the poses, or map them in poses.columns", names[0], names[1])
            : std::string("Check the coordinates of poses and layout, and the CRS of each"));
}

// Frames with their times; what the table or the tags say of poses is not used.
std::vector<WrittenRow> timed_frames(const SurveySettings& settings, const std::vector<FrameFile>& frames) {
    if (!settings.frames.poses) {
        return read_tag_rows(frames, settings.frame_camera().clock, settings.poses);
    }
    return read_pose_rows(*settings.frames.poses, settings.frame_camera().clock, settings.poses.rules);
}

std::vector<WrittenRow> rows_of_log(const SurveySettings& settings,
                                    const std::vector<FrameFile>& frames,
                                    std::vector<std::string>& notes) {
    const FlightLog log = read_flight_log(settings.poses.flight_log, settings.poses);
    for (const LogFinding& finding : log.findings) {
        notes.push_back("Flight log: " + finding.text);
    }
    std::vector<WrittenRow> rows = timed_frames(settings, frames);
    for (WrittenRow& row : rows) {
        row.where = fmt::format("{} at its time", settings.poses.flight_log.filename().string());
        row.pose = row.time ? log.at(*row.time, settings.poses.longest_gap) : WrittenPose{};
    }
    return rows;
}

std::vector<WrittenRow> written_rows(const SurveySettings& settings,
                                     const std::vector<FrameFile>& frames,
                                     std::vector<std::string>& notes) {
    const Clock& camera_clock = settings.frame_camera().clock;
    switch (settings.poses.source) {
        case PoseSettings::Source::flight_log:
            return rows_of_log(settings, frames, notes);
        case PoseSettings::Source::tags:
            return read_tag_rows(frames, camera_clock, settings.poses);
        case PoseSettings::Source::table:
            break;
    }
    return read_pose_rows(*settings.frames.poses, camera_clock, settings.poses.rules, settings.poses.columns);
}

}  // namespace

SurveyPoses read_survey_poses(const SurveySettings& settings,
                              const std::vector<FrameFile>& frames,
                              const Layout& layout) {
    const SiteProjection projection(layout.origin);
    const PoseMaker maker(settings.poses.rules, projection);
    std::vector<std::string> notes;
    const std::vector<WrittenRow> rows = written_rows(settings, frames, notes);
    SurveyPoses poses;
    poses.table = make_poses(rows, maker);
    require_near_layout(rows, poses.table, maker, layout);
    poses.table.notes.insert(poses.table.notes.begin(), notes.begin(), notes.end());
    if (settings.frames.poses) {
        poses.files.emplace_back("poses", *settings.frames.poses);
    }
    if (settings.poses.source == PoseSettings::Source::flight_log) {
        poses.files.emplace_back("flight log", settings.poses.flight_log);
    }
    return poses;
}

}  // namespace heatrow
