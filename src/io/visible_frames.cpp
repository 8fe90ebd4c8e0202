#include "heatrow/io/visible_frames.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/io/clock.hpp"
#include "heatrow/io/text_table.hpp"
#include "mapped_columns.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <utility>

namespace heatrow {
namespace {

constexpr std::string_view kFailed = "cannot read the times of the visible frames";
constexpr std::string_view kRemedy = "The table has the columns frame and time (docs/formats/survey-toml.md)";

struct TimeRow {
    UtcTime time{};
    int line = 0;
    bool has_picture = false;
};

std::map<std::string, TimeRow> read_times(const std::filesystem::path& file, const Clock& clock) {
    const TextTable table = read_text_table(file);
    const detail::ColumnNames names{{}, {}, kFailed, kRemedy};
    const std::size_t frame_column = detail::require_mapped(table, "frame", names);
    const std::size_t time_column = detail::require_mapped(table, "time", names);
    std::map<std::string, TimeRow> times;
    for (const TextRow& row : table.rows) {
        const std::string frame(cell(row, frame_column));
        const std::string_view text = cell(row, time_column);
        const auto parsed = parse_iso8601(text);
        if (!parsed) {
            throw Error(ErrorKind::input,
                        kFailed,
                        table.place(row, "time"),
                        fmt::format("'{:.40}' is no date and time", text),
                        "Write it as 2026-06-17T11:02:03.250");
        }
        const auto [first, is_new] =
            times.emplace(frame, TimeRow{to_utc(clock, *parsed, table.place(row, "time")), row.line, false});
        if (!is_new) {
            throw Error(ErrorKind::input,
                        kFailed,
                        table.place(row, "frame"),
                        fmt::format("frame '{}' is already in line {}", frame, first->second.line),
                        "Keep one row per frame");
        }
    }
    return times;
}

// "a.jpg, b.jpg, c.jpg and 7 more".
std::string some_of(const std::vector<std::string>& names) {
    constexpr std::size_t kNamed = 3;
    const auto named = std::min(kNamed, names.size());
    std::string text =
        fmt::format("{}", fmt::join(names.begin(), names.begin() + static_cast<std::ptrdiff_t>(named), ", "));
    return names.size() > named ? text + fmt::format(" and {} more", names.size() - named) : text;
}

}  // namespace

VisibleFrames list_visible_frames(const VisibleFrameSettings& settings, const Clock& camera_clock) {
    VisibleFrames visible;
    auto times = read_times(settings.times, camera_clock);
    const std::string table = settings.times.filename().string();
    std::vector<std::string> without_time;
    std::vector<std::string> without_picture;
    for (FrameFile& file : list_frames(settings.folder, settings.files)) {
        const auto row = times.find(file.name);
        if (row == times.end()) {
            without_time.push_back(file.name);
            continue;
        }
        row->second.has_picture = true;
        visible.frames.push_back({std::move(file), row->second.time});
    }
    for (const auto& [frame, row] : times) {
        if (!row.has_picture) {
            without_picture.push_back(frame);
        }
    }
    if (!without_time.empty()) {
        visible.notes.push_back(
            fmt::format("Visible frames without a row in {} take no part: {}.", table, some_of(without_time)));
    }
    if (!without_picture.empty()) {
        visible.notes.push_back(
            fmt::format("{} names visible frames that are not there: {}.", table, some_of(without_picture)));
    }
    std::stable_sort(visible.frames.begin(), visible.frames.end(), [](const VisibleFrame& a, const VisibleFrame& b) {
        return a.time != b.time ? a.time < b.time : a.file.name < b.file.name;
    });
    return visible;
}

}  // namespace heatrow
