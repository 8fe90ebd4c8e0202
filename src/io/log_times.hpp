// The times of a log's rows as instants, in order.
#pragma once

#include "heatrow/core/time.hpp"
#include "heatrow/io/written_time.hpp"
#include "log_table.hpp"

#include <cstddef>
#include <optional>
#include <span>
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

// The order of a log's dates: declared, or found from all its rows. Error where it is needed and cannot be told.
struct SettledOrder {
    std::optional<DateOrder> order;
    std::string reason;  // where it had to be found
};
SettledOrder settle_date_order(const LogTable& table, const TimeColumns& columns, std::optional<DateOrder> declared);

// The rows as instants, ascending. Errors: a text that is no time; an hour that a fixed clock writes twice; a skipped
// local time. Left out and counted in `findings`: rows in the hour that passes twice at the end of daylight saving
// (ambiguous_time), rows equal to an earlier one (duplicate_row), rows of one time with different values
// (conflicting_rows). Rows out of order are sorted and counted (out_of_order).
std::vector<TimedRow> read_log_times(const LogTable& table,
                                     std::span<const TextRow* const> rows,
                                     const TimeColumns& columns,
                                     const Clock& clock,
                                     std::optional<DateOrder> order,
                                     std::vector<LogFinding>& findings);

std::vector<const TextRow*> all_rows(const LogTable& table);

}  // namespace heatrow
