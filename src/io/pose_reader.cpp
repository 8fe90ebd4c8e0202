#include "heatrow/io/pose_reader.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/io/clock.hpp"
#include "heatrow/io/decode_text.hpp"
#include "heatrow/io/text_table.hpp"
#include "mapped_columns.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

namespace heatrow {
namespace {

constexpr std::string_view kFailed = "cannot read the poses";
constexpr std::string_view kRemedy = "docs/formats/poses-csv.md describes the table";

[[noreturn]] void fail(const std::string& where, const std::string& why, std::string_view remedy) {
    throw Error(ErrorKind::input, kFailed, where, why, remedy);
}

detail::ColumnNames names_in(const std::map<std::string, std::string>& columns) {
    return {columns, "poses.columns", kFailed, kRemedy};
}

// The columns of numbers that make a pose; those that the table lacks read as empty.
class PoseFields {
  public:
    PoseFields(const TextTable& table,
               const std::array<std::string_view, 6>& names,
               const std::map<std::string, std::string>& columns)
        : table_(table) {
        for (std::size_t i = 0; i < names.size(); ++i) {
            columns_[i] = detail::find_mapped(table, names[i], names_in(columns));
        }
    }

    [[nodiscard]] WrittenPose read(const TextRow& row) const {
        WrittenPose pose;
        for (std::size_t i = 0; i < columns_.size(); ++i) {
            if (!columns_[i] || cell(row, *columns_[i]).empty()) {
                continue;
            }
            const auto number = table_.number(cell(row, *columns_[i]));
            if (!number) {
                fail(table_.place(row, table_.header.cells[*columns_[i]]),
                     fmt::format("'{:.40}' is no number", cell(row, *columns_[i])),
                     "Correct it or leave it empty");
            }
            pose.values[i] = *number;
        }
        return pose;
    }

  private:
    const TextTable& table_;
    std::array<std::optional<std::size_t>, 6> columns_;
};

std::optional<UtcTime> read_time(const TextTable& table, const TextRow& row, std::size_t column, const Clock& clock) {
    const std::string_view text = cell(row, column);
    if (text.empty()) {
        return std::nullopt;
    }
    const auto parsed = parse_iso8601(text);
    if (!parsed) {
        fail(table.place(row, "time"),
             fmt::format("'{:.40}' is no date and time", text),
             "Write it as 2026-06-17T11:02:03.250");
    }
    return to_utc(clock, *parsed, table.place(row, "time"));
}

// By conventions.md a pitch of -90 degrees looks at the horizon behind, upside down. A flight of nothing else counts
// pitch from the horizon.
bool counts_pitch_from_horizon(const std::vector<WrittenRow>& rows) {
    constexpr double kAbout = 10.0;  // degrees
    const auto is_written = [](const WrittenRow& row) { return !std::isnan(row.pose.values[4]); };
    return std::any_of(rows.begin(), rows.end(), is_written) &&
           std::all_of(rows.begin(), rows.end(), [&](const WrittenRow& row) {
               return !is_written(row) || std::abs(row.pose.values[4] + 90.0) <= kAbout;
           });
}

}  // namespace

PoseTable make_poses(const std::vector<WrittenRow>& rows, const PoseMaker& maker) {
    const PoseRules& rules = maker.rules();
    const bool from_horizon =
        rules.angles == PoseRules::Angles::yaw_pitch_roll && rules.add_deg[1] == 0.0 && counts_pitch_from_horizon(rows);
    PoseTable poses;
    for (const WrittenRow& row : rows) {
        WrittenPose written = row.pose;
        written.values[4] += from_horizon ? 90.0 : 0.0;
        PoseRow result{row.frame, row.where, row.time, std::nullopt, {}, std::nullopt};
        if (const auto pose = maker.make(written, row.where)) {
            result.pose = *pose;
        } else {
            result.missing = pose.error();
            if (const auto attitude = maker.make_attitude(written, row.where)) {
                result.attitude = *attitude;
            }
        }
        poses.rows.push_back(std::move(result));
    }
    if (from_horizon) {
        poses.notes.push_back(
            "Every pitch of the poses lies near -90 degrees: it was taken as counted from the horizon, and 90 degrees "
            "were added. Say poses.add_deg = { pitch = 90 } to state it.");
    }
    return poses;
}

std::vector<WrittenRow> parse_pose_rows(std::string_view text,
                                        const std::filesystem::path& file,
                                        const Clock& camera_clock,
                                        const PoseRules& rules,
                                        const std::map<std::string, std::string>& columns) {
    const TextTable table = parse_text_table(text, file.string());
    const std::size_t frame_column = detail::require_mapped(table, "frame", names_in(columns));
    const std::size_t time_column = detail::require_mapped(table, "time", names_in(columns));
    const PoseFields fields(table, rules.names(), columns);

    std::vector<WrittenRow> rows;
    std::map<std::string, int> line_of;
    for (const TextRow& row : table.rows) {
        const std::string frame(cell(row, frame_column));
        if (frame.empty()) {
            fail(table.place(row, "frame"), "it is empty", "Name the frame's file");
        }
        const auto [first, is_new] = line_of.emplace(frame, row.line);
        if (!is_new) {
            fail(table.place(row, "frame"),
                 fmt::format("frame '{}' is already in line {}", frame, first->second),
                 "Keep one row per frame");
        }
        rows.push_back({frame, table.place(row), read_time(table, row, time_column, camera_clock), fields.read(row)});
    }
    return rows;
}

std::vector<WrittenRow> read_pose_rows(const std::filesystem::path& file,
                                       const Clock& camera_clock,
                                       const PoseRules& rules,
                                       const std::map<std::string, std::string>& columns) {
    return parse_pose_rows(read_text_bytes(file), file, camera_clock, rules, columns);
}

FramePriors make_frame_priors(const std::vector<FrameFile>& frames,
                              const PoseTable& poses,
                              const CornerTable& corners,
                              FrameSettings::Placement placement) {
    std::map<std::string_view, const PoseRow*> row_of;
    for (const PoseRow& row : poses.rows) {
        row_of.emplace(row.frame, &row);
    }
    std::set<std::string_view> unused;
    for (const PoseRow& row : poses.rows) {
        unused.insert(row.frame);
    }
    for (const auto& [frame, points] : corners) {
        unused.insert(frame);
    }

    FramePriors result;
    const bool by_corners = placement == FrameSettings::Placement::corner_points;
    for (const FrameFile& file : frames) {
        FramePrior prior;
        prior.frame = static_cast<int>(result.priors.size());
        prior.name = file.name;
        unused.erase(file.name);
        const auto row = row_of.find(file.name);
        const auto points = corners.find(file.name);
        std::optional<Rejection> rejection;
        if (row == row_of.end()) {
            rejection =
                Rejection{RejectReason::no_pose, file.name + ": there is no pose for it; add a row to the table"};
        } else if (!row->second->time) {
            rejection = Rejection{RejectReason::no_time,
                                  fmt::format("{}: it has no time in {}; add it", file.name, row->second->where)};
        } else if (by_corners && points == corners.end()) {
            rejection = Rejection{RejectReason::no_pose, file.name + ": it has no corner points; add at least four"};
        } else if (!by_corners && !row->second->pose) {
            rejection = Rejection{
                RejectReason::no_pose,
                fmt::format("{}: {} in {}; complete it", file.name, row->second->missing, row->second->where)};
        }
        std::optional<FramePose> attitude;
        if (row != row_of.end()) {
            prior.time = row->second->time.value_or(UtcTime{});
            prior.pose = row->second->pose;
            attitude = row->second->time ? row->second->attitude : std::nullopt;
        }
        if (by_corners && points != corners.end()) {
            prior.corner_points = points->second;
        }
        result.priors.push_back(std::move(prior));
        result.rejections.push_back(std::move(rejection));
        result.attitudes.push_back(attitude);
    }
    result.rows_without_frame.assign(unused.begin(), unused.end());
    std::sort(result.rows_without_frame.begin(), result.rows_without_frame.end(), natural_less);
    return result;
}

}  // namespace heatrow
