// Angles of single-axis trackers over time, as their controller logs them (docs/formats/trackers.md).
#pragma once

#include "heatrow/core/time.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/io/written_time.hpp"
#include "heatrow/sun/log_finding.hpp"

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

struct TrackerReading {
    UtcTime time{};
    Radians rotation{0.0};
};

struct TrackerLogOptions {
    std::map<std::string, std::string> columns;  // "time", "date", "tracker", "angle" -> column as the header says
    std::optional<DateOrder> date_order;
    bool reversed = false;  // the log counts the other way round than site/turned_layout.hpp
};

struct TrackerLog {
    // By tracker, ascending in time. One entry under the empty name where the log has no column of trackers: it speaks
    // for all.
    std::map<std::string, std::vector<TrackerReading>> trackers;
    std::vector<LogFinding> findings;
};

// Rows without an angle are left out, rows of one time as read_conditions_log says. Throws Error naming file, line,
// field and value: no such column, an angle that is no number or beyond 90 degrees, no row at all.
TrackerLog read_tracker_log(const std::filesystem::path& path, const Clock& clock, const TrackerLogOptions& options);
TrackerLog parse_tracker_log(std::string_view bytes,
                             std::string_view name,
                             const Clock& clock,
                             const TrackerLogOptions& options = {});

// Linear between readings that are at most `longest_gap` apart, the nearest one up to that far beyond them; nothing
// elsewhere.
std::optional<Radians> rotation_at(const std::vector<TrackerReading>& readings,
                                   UtcTime time,
                                   std::chrono::milliseconds longest_gap);

}  // namespace heatrow
