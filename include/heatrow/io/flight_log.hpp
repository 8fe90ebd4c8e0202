// Logs of aircraft: positions and angles by time, from which the poses of frames are interpolated.
#pragma once

#include "heatrow/core/time.hpp"
#include "heatrow/io/pose_reader.hpp"
#include "heatrow/io/survey_settings.hpp"
#include "heatrow/sun/log_finding.hpp"

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

struct FlightLogRow {
    UtcTime time{};
    std::string where;  // file and line
    WrittenPose pose;
};

struct FlightLog {
    std::string name;                // of the file
    std::vector<FlightLogRow> rows;  // ascending in time
    std::vector<LogFinding> findings;

    // Linear between the rows before and after, angles the shorter way round; all NaN where there is none within
    // `longest_gap` of each other, or before the first and after the last row.
    [[nodiscard]] WrittenPose at(UtcTime time, std::chrono::milliseconds longest_gap) const;
};

// Dialects, heads and times as in conditions logs (docs/formats/conditions.md); the columns by poses.columns or by
// their own names. Errors (kind input) name file, line, field and value: a column missing, a field that is no number.
FlightLog read_flight_log(const std::filesystem::path& file, const PoseSettings& settings);
FlightLog parse_flight_log(std::string_view bytes, std::string_view name, const PoseSettings& settings);

}  // namespace heatrow
