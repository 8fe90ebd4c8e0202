#include "heatrow/io/pose_reader.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/core/nearest_word.hpp"
#include "heatrow/io/clock.hpp"
#include "heatrow/io/decode_text.hpp"
#include "heatrow/io/text_table.hpp"

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

std::size_t require_column(const TextTable& table, std::string_view name) {
    if (const auto column = table.find_column(name)) {
        return *column;
    }
    const auto nearest = nearest_word(name, table.header.cells);
    fail(table.name,
         fmt::format("it has no column '{}'; its columns are {}", name, fmt::join(table.header.cells, ", ")),
         nearest ? fmt::format("Is it '{}'? Rename it", *nearest) : std::string(kRemedy));
}

// The columns of numbers that make a pose; those that the table lacks read as empty.
class PoseFields {
  public:
    static constexpr std::array<std::string_view, 6> kNames{
        "longitude", "latitude", "altitude", "yaw", "pitch", "roll"};
    enum Field : std::size_t { longitude, latitude, altitude, yaw, pitch, roll };

    explicit PoseFields(const TextTable& table) : table_(table) {
        for (std::size_t i = 0; i < kNames.size(); ++i) {
            columns_[i] = table.find_column(kNames[i]);
        }
    }

    // NaN for an empty field.
    [[nodiscard]] double value(const TextRow& row, Field field) const {
        const std::string_view text = columns_[field] ? cell(row, *columns_[field]) : std::string_view{};
        if (text.empty()) {
            return kNaN;
        }
        const auto number = table_.number(text);
        if (!number) {
            fail(table_.place(row, kNames[field]),
                 fmt::format("'{:.40}' is no number", text),
                 "Correct it or leave it empty");
        }
        return *number;
    }
    // The first field that is empty.
    [[nodiscard]] std::optional<std::string_view> first_empty(const TextRow& row) const {
        for (std::size_t i = 0; i < kNames.size(); ++i) {
            if (!columns_[i] || cell(row, *columns_[i]).empty()) {
                return kNames[i];
            }
        }
        return std::nullopt;
    }

  private:
    const TextTable& table_;
    std::array<std::optional<std::size_t>, 6> columns_;
};

void require_degrees(const TextTable& table, const TextRow& row, std::string_view field, double value, double limit) {
    if (std::abs(value) > limit) {
        fail(table.place(row, field),
             fmt::format("{:.10g} is out of range", value),
             fmt::format("It is in degrees, from {:g} to {:g}", -limit, limit));
    }
}

void read_pose(const TextTable& table,
               const PoseFields& fields,
               const TextRow& row,
               FrameSettings::Altitude altitude,
               const SiteProjection& projection,
               PoseRow& result) {
    const double longitude = fields.value(row, PoseFields::longitude);
    const double latitude = fields.value(row, PoseFields::latitude);
    const double height_m = fields.value(row, PoseFields::altitude);
    const double yaw = fields.value(row, PoseFields::yaw);
    const double pitch = fields.value(row, PoseFields::pitch);
    const double roll = fields.value(row, PoseFields::roll);
    if (longitude == 0.0 && latitude == 0.0) {
        result.missing = "its position is 0, 0, which devices write when they have no fix";
        return;
    }
    require_degrees(table, row, "longitude", longitude, 180.0);
    require_degrees(table, row, "latitude", latitude, 90.0);
    if (const auto empty = fields.first_empty(row)) {
        result.missing = fmt::format("its {} is empty", *empty);
        return;
    }
    for (const auto& [name, angle] : {std::pair{"yaw", yaw}, {"pitch", pitch}, {"roll", roll}}) {
        require_degrees(table, row, name, angle, 360.0);
    }
    const Metres above_ellipsoid =
        Metres(height_m) + (altitude == FrameSettings::Altitude::site ? projection.origin().height : Metres(0.0));
    result.pose = FramePose{
        projection.to_site(longitude, latitude, above_ellipsoid), degrees(yaw), degrees(pitch), degrees(roll)};
}

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
void refuse_pitch_from_horizon(const PoseTable& poses, const std::string& file) {
    constexpr double kAbout = 10.0;  // degrees
    const PoseRow* straight_down = nullptr;
    for (const PoseRow& row : poses.rows) {
        if (!row.pose) {
            continue;
        }
        if (std::abs(in_degrees(row.pose->pitch) + 90.0) > kAbout) {
            return;
        }
        straight_down = &row;
    }
    if (straight_down != nullptr) {
        fail(
            fmt::format("{}, line {}, field pitch", file, straight_down->line),
            fmt::format("{:.1f} degrees, and like it every frame, looks at the horizon behind; 0 is straight down here",
                        in_degrees(straight_down->pose->pitch)),
            "Add 90 to every pitch if -90 means straight down (docs/conventions.md)");
    }
}

}  // namespace

PoseTable parse_poses(std::string_view text,
                      const std::filesystem::path& file,
                      const Clock& camera_clock,
                      FrameSettings::Altitude altitude,
                      const SiteProjection& projection) {
    const TextTable table = parse_text_table(text, file.string());
    const std::size_t frame_column = require_column(table, "frame");
    const std::size_t time_column = require_column(table, "time");
    const PoseFields fields(table);

    PoseTable poses;
    for (const std::string& column : table.header.cells) {
        const bool known =
            column == "frame" || column == "time" ||
            std::find(PoseFields::kNames.begin(), PoseFields::kNames.end(), column) != PoseFields::kNames.end();
        if (!known) {
            poses.ignored_columns.push_back(column);
        }
    }
    std::map<std::string, int> line_of;
    for (const TextRow& row : table.rows) {
        PoseRow result;
        result.frame = cell(row, frame_column);
        result.line = row.line;
        if (result.frame.empty()) {
            fail(table.place(row, "frame"), "it is empty", "Name the frame's file");
        }
        const auto [first, is_new] = line_of.emplace(result.frame, row.line);
        if (!is_new) {
            fail(table.place(row, "frame"),
                 fmt::format("frame '{}' is already in line {}", result.frame, first->second),
                 "Keep one row per frame");
        }
        result.time = read_time(table, row, time_column, camera_clock);
        read_pose(table, fields, row, altitude, projection, result);
        poses.rows.push_back(std::move(result));
    }
    refuse_pitch_from_horizon(poses, file.string());
    return poses;
}

PoseTable read_poses(const std::filesystem::path& file,
                     const Clock& camera_clock,
                     FrameSettings::Altitude altitude,
                     const SiteProjection& projection) {
    return parse_poses(read_text_bytes(file), file, camera_clock, altitude, projection);
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
            rejection = Rejection{RejectReason::no_pose, file.name + ": the pose table has no row for it; add one"};
        } else if (!row->second->time) {
            rejection = Rejection{
                RejectReason::no_time,
                fmt::format(
                    "{}: its time in line {} of the pose table is empty; add it", file.name, row->second->line)};
        } else if (by_corners && points == corners.end()) {
            rejection = Rejection{RejectReason::no_pose, file.name + ": it has no corner points; add at least four"};
        } else if (!by_corners && !row->second->pose) {
            rejection = Rejection{RejectReason::no_pose,
                                  fmt::format("{}: {} in line {} of the pose table; complete it",
                                              file.name,
                                              row->second->missing,
                                              row->second->line)};
        }
        if (row != row_of.end()) {
            prior.time = row->second->time.value_or(UtcTime{});
            prior.pose = row->second->pose;
        }
        if (by_corners && points != corners.end()) {
            prior.corner_points = points->second;
        }
        result.priors.push_back(std::move(prior));
        result.rejections.push_back(std::move(rejection));
    }
    result.rows_without_frame.assign(unused.begin(), unused.end());
    std::sort(result.rows_without_frame.begin(), result.rows_without_frame.end(), natural_less);
    return result;
}

}  // namespace heatrow
