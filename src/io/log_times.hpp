// The times of a log's rows as instants, in order.
#pragma once

#include "heatrow/core/time.hpp"
#include "heatrow/io/written_time.hpp"
#include "log_table.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace heatrow {

// Where the time of a row stands: one column, or a date and a time of day apart.
struct TimeColumns {
    std::size_t time = 0;
    std::optional<std::size_t> date;
};

// The columns by the names given (from settings; empty: the defaults "time", or "date" with "time", or a first column
// of times without a name). Error if there is none, with the heads of the log.
TimeColumns find_time_columns(const LogTable& table, const std::string& time_name, const std::string& date_name);

struct TimedRow {
    UtcTime time{};
    const TextRow* row = nullptr;
};

struct LogTimes {
    std::vector<TimedRow> rows;      // ascending; rows that cannot be placed in time are left out and counted
    std::optional<DateOrder> order;  // where one was needed
    std::string order_reason;
};

// Errors: a text that is no time; dates whose order cannot be told; an hour that a fixed clock writes twice; a skipped
// local time. Left out and counted in `findings`: rows in the hour that passes twice at the end of daylight saving
// (ambiguous_time), rows equal to an earlier one (duplicate_row). Rows out of order are sorted and counted
// (out_of_order).
LogTimes read_log_times(const LogTable& table,
                        const TimeColumns& columns,
                        const Clock& clock,
                        std::optional<DateOrder> declared_order,
                        std::vector<LogFinding>& findings);

}  // namespace heatrow
