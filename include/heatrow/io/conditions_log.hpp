// Conditions logs in the dialects of the field (docs/formats/conditions.md).
#pragma once

#include "heatrow/core/time.hpp"
#include "heatrow/io/text_table.hpp"
#include "heatrow/sun/conditions.hpp"

#include <chrono>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// What the written time of a row of means stands for.
enum class IntervalLabel { sample, start, middle, end };

struct ConditionsLogOptions {
    // Name of a quantity (docs/formats/conditions.md, first column) -> column of the log, exactly as its header says.
    // Quantities that are not mapped are found by their own name.
    std::map<std::string, std::string> columns;
    IntervalLabel label = IntervalLabel::sample;
    std::optional<std::chrono::milliseconds> interval;  // of the means; absent: the usual spacing of the rows
    LoggerDescription logger;
};

// A column of the log that was used.
struct LogColumn {
    std::string quantity;
    std::string name;  // as the header says
    std::string unit;  // as written, or assumed
    int values = 0;    // rows that hold one
};

// Something the reader must know about a log: a row left out, a gap, a doubt.
struct LogFinding {
    std::string kind;  // stable name, e.g. "no_irradiance"
    int count = 0;     // rows or places concerned
    std::string text;  // a sentence with lines and values
};

struct ConditionsLog {
    ConditionsSeries series;
    std::string name;  // of the file
    TextDialect dialect;
    Clock clock;
    IntervalLabel label = IntervalLabel::sample;
    std::vector<LogColumn> columns;
    std::vector<std::string> ignored_columns;
    int rows_read = 0;
    std::vector<LogFinding> findings;
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
