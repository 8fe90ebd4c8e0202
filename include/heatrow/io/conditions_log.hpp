// Conditions logs in the dialects of the field (docs/formats/conditions.md).
#pragma once

#include "heatrow/core/time.hpp"
#include "heatrow/io/text_table.hpp"
#include "heatrow/io/written_time.hpp"
#include "heatrow/sun/conditions.hpp"
#include "heatrow/sun/log_finding.hpp"

#include <chrono>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// What the written time of a row stands for: the moment of a sample, or a place in the interval that a mean is over.
enum class IntervalLabel { sample, start, middle, end };
std::string_view to_string(IntervalLabel label);
std::optional<IntervalLabel> parse_interval_label(std::string_view text);

struct ConditionsLogOptions {
    // Quantity (docs/formats/conditions.md; also "time" and "date") -> column of the log as its header says.
    // Quantities that are not mapped are found by their own name.
    std::map<std::string, std::string> columns;
    std::map<std::string, std::string> units;  // quantity -> unit, where the header is silent or wrong
    std::vector<std::string> missing;          // further texts that mean "not recorded", besides the usual ones
    std::optional<DateOrder> date_order;       // of dates with slashes; absent: found from the log
    std::optional<IntervalLabel> label;        // absent: samples, unless a TOA5 head says "Avg" (then end)
    std::optional<std::chrono::milliseconds> interval;  // of the means; absent: the usual spacing of the rows
    LoggerDescription logger;
};

// A column of the log that was used.
struct LogColumn {
    std::string quantity;
    std::string name;  // as the header says
    std::string unit;  // as written; empty: none was written and the own unit is assumed
    int values = 0;    // rows that hold one
};

struct ConditionsLog {
    ConditionsSeries series;  // `poa` may be unknown where the log has horizontal irradiance only: see in_module_plane
    std::string name;         // of the file
    TextDialect dialect;
    bool is_toa5 = false;
    Clock clock;
    std::string date_order;  // in words with the reason, where one had to be found
    IntervalLabel label = IntervalLabel::sample;
    std::vector<LogColumn> columns;
    std::vector<std::string> ignored_columns;
    int rows_read = 0;                 // in the file, those left out included
    std::vector<LogFinding> findings;  // what was left out or is doubtful in the file itself
};

// Errors name file, line, field, value and remedy: see docs/formats/conditions.md, "What is refused".
ConditionsLog read_conditions_log(const std::filesystem::path& path,
                                  const Clock& clock,
                                  const ConditionsLogOptions& options = {});
// The same from bytes; `name` is the file's name for messages.
ConditionsLog parse_conditions_log(std::string_view bytes,
                                   std::string_view name,
                                   const Clock& clock,
                                   const ConditionsLogOptions& options = {});

}  // namespace heatrow
