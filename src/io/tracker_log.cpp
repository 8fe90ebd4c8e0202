#include "heatrow/io/tracker_log.hpp"

#include "heatrow/io/clock.hpp"
#include "heatrow/io/decode_text.hpp"
#include "log_table.hpp"
#include "log_times.hpp"
#include "log_values.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

std::string named(const TrackerLogOptions& options, const std::string& quantity) {
    const auto found = options.columns.find(quantity);
    return found == options.columns.end() ? std::string() : found->second;
}

std::optional<std::size_t> find_column(const LogTable& table,
                                       const TrackerLogOptions& options,
                                       const std::string& quantity,
                                       bool required) {
    const std::string mapped = named(options, quantity);
    const std::string& wanted = mapped.empty() ? quantity : mapped;
    const auto column = table.find(wanted);
    if (!column && (required || !mapped.empty())) {
        refuse_log(fmt::format("{}, line {}", table.text.name, table.heads_line),
                   fmt::format("there is no column '{}' among {}", wanted, table.list_heads()),
                   fmt::format("Name it in [trackers] columns = {{ {} = \"...\" }}", quantity));
    }
    return column;
}

double read_angle(const LogTable& table, const TextRow& row, std::size_t column) {
    constexpr double kMost_deg = 90.0;
    const auto angle = ValueReader({}).read(table, row, column);
    if (angle && !(std::abs(*angle) <= kMost_deg)) {
        refuse_log(table.place(row, column),
                   fmt::format("{:g} is no angle of a tracker", *angle),
                   "Give degrees from flat, -90 to 90");
    }
    return angle.value_or(kNaN);
}

}  // namespace

TrackerLog parse_tracker_log(std::string_view bytes,
                             std::string_view name,
                             const Clock& clock,
                             const TrackerLogOptions& options) {
    require_known_zone(clock, name);
    TrackerLog log;
    const LogTable table = read_log_table(parse_text_table(bytes, name), log.findings);
    const TimeColumns times = find_time_columns(table, named(options, "time"), named(options, "date"));
    const SettledOrder order = settle_date_order(table, times, options.date_order);
    const std::size_t angle = *find_column(table, options, "angle", true);
    const auto tracker = find_column(table, options, "tracker", false);
    std::map<std::string, std::vector<const TextRow*>> rows_of;
    for (const TextRow& row : table.rows) {
        rows_of[tracker ? std::string(cell(row, *tracker)) : std::string()].push_back(&row);
    }
    const double sign = options.reversed ? -1.0 : 1.0;
    for (const auto& [id, rows] : rows_of) {
        std::vector<TrackerReading> readings;
        for (const TimedRow& timed : read_log_times(table, rows, times, clock, order.order, log.findings)) {
            if (const double value = read_angle(table, *timed.row, angle); !std::isnan(value)) {
                readings.push_back({timed.time, degrees(sign * value)});
            }
        }
        if (!readings.empty()) {
            log.trackers.emplace(id, std::move(readings));
        }
    }
    if (log.trackers.empty()) {
        refuse_log(table.text.name, "it holds no angle", "Give a row per tracker and time");
    }
    return log;
}

TrackerLog read_tracker_log(const std::filesystem::path& path, const Clock& clock, const TrackerLogOptions& options) {
    return parse_tracker_log(read_text_bytes(path), path.string(), clock, options);
}

std::optional<Radians> rotation_at(const std::vector<TrackerReading>& readings,
                                   UtcTime time,
                                   std::chrono::milliseconds longest_gap) {
    const auto later = std::lower_bound(
        readings.begin(), readings.end(), time, [](const TrackerReading& a, UtcTime t) { return a.time < t; });
    if (later == readings.begin() || later == readings.end()) {
        if (readings.empty()) {
            return std::nullopt;
        }
        const TrackerReading& end = later == readings.end() ? readings.back() : readings.front();
        return std::chrono::abs(time - end.time) <= longest_gap ? std::optional(end.rotation) : std::nullopt;
    }
    const TrackerReading& a = *std::prev(later);
    const TrackerReading& b = *later;
    if (b.time - a.time > longest_gap) {
        return std::nullopt;
    }
    const double share = std::chrono::duration<double>(time - a.time) / std::chrono::duration<double>(b.time - a.time);
    return a.rotation + share * (b.rotation - a.rotation);
}

}  // namespace heatrow
