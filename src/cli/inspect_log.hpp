// `heatrow inspect` for conditions logs.
#pragma once

#include "command.hpp"
#include "heatrow/io/conditions_log.hpp"

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

// The texts that inspect_log prints.
std::string log_as_text(const ConditionsLog& log);
std::string log_as_json(const ConditionsLog& log);

}  // namespace heatrow::cli
