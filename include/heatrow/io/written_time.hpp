// Dates and times as people and loggers write them.
#pragma once

#include "heatrow/core/time.hpp"

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace heatrow {

// Order of the parts of a date with slashes or dashes that does not begin with the year.
enum class DateOrder { day_first, month_first };
std::string_view to_string(DateOrder order);  // "day/month/year", "month/day/year"

// 2026-06-17 11:02:03.5 (also with slashes, 'T', 'Z' or an offset), 17.06.2026 11:02 (always day first),
// 17/06/2026 or 06/17/2026 11:02 by `order`, hours of one digit, AM and PM, 24:00 as the end of the day.
// Nothing if the text is none of these, names an impossible date, or needs an order and none is given.
std::optional<ParsedTime> parse_written_time(std::string_view text, std::optional<DateOrder> order);

// True for a text that parse_written_time reads under at least one order.
bool looks_like_time(std::string_view text);

// The order in which the dates of a log are written, found from its texts in file order: only one order makes them all
// dates, or only one makes them follow each other without jumps of weeks.
struct FoundDateOrder {
    std::optional<DateOrder> order;  // nothing: not needed (all texts are unambiguous), or not decided
    bool needed = false;             // some text can be read in both orders
    std::string reason;              // in words, where it was needed and decided
};
FoundDateOrder find_date_order(std::span<const std::string_view> texts);

}  // namespace heatrow
