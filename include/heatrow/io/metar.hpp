// Aerodrome weather reports as text: a fallback for cloud and wind, kilometres away and half an hour apart.
#pragma once

#include "heatrow/core/time.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/sun/conditions.hpp"
#include "heatrow/sun/log_finding.hpp"

#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// Source of the code: WMO No. 306, Manual on Codes, FM 15 (from memory, M); amounts FEW 1-2, SCT 3-4, BKN 5-7, OVC 8.
struct MetarReport {
    std::string raw;      // the report as it stands, kept for the record
    std::string station;  // four letters
    UtcTime time{};
    std::optional<MetresPerSecond> wind;  // at 10 m
    std::optional<MetresPerSecond> gust;
    std::optional<Celsius> air;
    // Range of the cloud cover, from its thickest layer; absent where the report has no cloud group.
    std::optional<int> okta_least;
    std::optional<int> okta_most;
};

// One report. Its day of the month is placed in the month nearest to `about` (within 15 days). Nothing if the text is
// no report (no station and time).
std::optional<MetarReport> parse_metar(std::string_view text, UtcTime about);

// A file of reports, one a line, in any order; lines starting with '#' and blank lines are skipped. A date and time in
// front of a report (2026-06-17 11:00 or 202606171100) is used in place of `about`. Left out and counted: lines that
// are no report (not_a_report). Error (kind input) if none is.
struct MetarFile {
    std::vector<MetarReport> reports;  // ascending in time
    std::vector<LogFinding> findings;
};
MetarFile parse_metar_file(std::string_view bytes, std::string_view name, UtcTime about);
MetarFile read_metar_file(const std::filesystem::path& path, UtcTime about);

// Fills what the log does not hold: cloud (middle of the range) and wind, each row from the report that is no older
// than the logger's observation_lifetime. Where all wind is from reports its uncertainty is raised to 2 m/s (distance
// and height; common practice, no source).
ConditionsSeries with_reports(const ConditionsSeries& series, std::span<const MetarReport> reports);

}  // namespace heatrow
