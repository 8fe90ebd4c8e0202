// `heatrow inspect` for conditions logs.
#pragma once

#include "command.hpp"
#include "heatrow/io/conditions_log.hpp"
#include "heatrow/sun/clock_shift.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace heatrow::cli {

// How to read a log that no survey.toml describes; the same words as its [conditions].
struct LogOptions {
    std::vector<std::string> columns;  // "poa_global=Global"
    std::vector<std::string> units;    // "wind_speed=km/h"
    std::string zone;
    std::string utc_offset;
    std::string date_order;
    std::string interval_label;
    std::optional<double> latitude;
    std::optional<double> longitude;
    std::optional<double> height;
    std::optional<double> sensor_tilt;
    std::optional<double> sensor_azimuth;
};
void add_log_options(CLI::App& app, LogOptions& options);

// Whether a file is a table with a time column: a conditions log, not a matrix of temperatures. Never throws for what
// the file holds.
bool is_conditions_log(const std::filesystem::path& file);

// Shows what the log holds, how it was read and what is wrong with it. Throws Error as read_conditions_log does.
ExitCode inspect_log(const std::filesystem::path& file, bool json, const LogOptions& options = {});

// A log with how its clock stands against the sun.
struct InspectedLog {
    ConditionsLog log;
    std::optional<ClockShift> shift;
    std::string why_no_shift;  // where `shift` is empty
};
// place or plane: of the sensor, where known; without poa_global the horizontal irradiance is compared.
InspectedLog against_sun(ConditionsLog log,
                         const std::optional<Place>& place,
                         const std::optional<PlaneOrientation>& sensor_plane);

// For people: all of it; or clock, span, gaps and findings alone, as part of a survey.
std::string log_as_text(const InspectedLog& inspected);
std::string log_in_short(const InspectedLog& inspected);
// One line a finding.
std::string findings_in_short(const std::vector<LogFinding>& findings);
std::string log_as_json(const InspectedLog& inspected);

}  // namespace heatrow::cli
