#include "log_times.hpp"

#include "heatrow/io/clock.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

namespace heatrow {
namespace {

using std::chrono::milliseconds;
using std::chrono::minutes;

std::string time_text(const TextRow& row, const TimeColumns& columns) {
    std::string text(cell(row, columns.time));
    if (columns.date) {
        text = std::string(cell(row, *columns.date)) + " " + text;
    }
    return text;
}

std::vector<std::string> time_texts(const LogTable& table, const TimeColumns& columns) {
    std::vector<std::string> texts;
    texts.reserve(table.rows.size());
    for (const TextRow& row : table.rows) {
        texts.push_back(time_text(row, columns));
    }
    return texts;
}

// Everything but the time: equal rows say the same.
std::string rest_of(const TextRow& row, const TimeColumns& columns) {
    std::string rest;
    for (std::size_t i = 0; i < row.cells.size(); ++i) {
        if (i != columns.time && i != columns.date) {
            rest += row.cells[i] + '\x1f';
        }
    }
    return rest;
}

// A clock of fixed offset that steps back by about an hour and writes the same times again has followed daylight
// saving: one of the two passes would be an hour off.
void refuse_repeated_hour(const LogTable& table, const TimeColumns& columns, const std::vector<TimedRow>& rows) {
    constexpr minutes kLeast(25);
    constexpr minutes kMost(65);
    for (std::size_t i = 1; i < rows.size(); ++i) {
        const auto back = rows[i - 1].time - rows[i].time;
        if (back < kLeast || back > kMost) {
            continue;
        }
        const auto end = rows.begin() + static_cast<std::ptrdiff_t>(i);
        const auto earlier =
            std::find_if(rows.begin(), end, [&](const TimedRow& row) { return row.time == rows[i].time; });
        // Rows that repeat their values too are copies, not a second pass of the hour.
        const bool second_pass = earlier != end && rest_of(*earlier->row, columns) != rest_of(*rows[i].row, columns);
        if (second_pass) {
            refuse_log(table.place(*rows[i].row, columns.time),
                       fmt::format("'{}' comes again after '{}': the clock was set back by an hour, as at the end of "
                                   "daylight saving, but is declared with a fixed offset",
                                   time_text(*rows[i].row, columns),
                                   time_text(*rows[i - 1].row, columns)),
                       "Declare the zone that the logger followed, such as clock = { zone = \"Europe/Madrid\" }");
        }
    }
}

void sort_rows(std::vector<TimedRow>& rows, std::vector<LogFinding>& findings) {
    std::vector<int> lines;
    for (std::size_t i = 1; i < rows.size(); ++i) {
        if (rows[i].time < rows[i - 1].time) {
            lines.push_back(rows[i].row->line);
        }
    }
    if (lines.empty()) {
        return;
    }
    std::stable_sort(rows.begin(), rows.end(), [](const auto& a, const auto& b) { return a.time < b.time; });
    findings.push_back({"out_of_order",
                        static_cast<int>(lines.size()),
                        fmt::format("{} earlier than the line before; rows were sorted by time",
                                    list_lines(lines) + (lines.size() == 1 ? " is" : " are"))});
}

void drop_equal_times(const TimeColumns& columns, std::vector<TimedRow>& rows, std::vector<LogFinding>& findings) {
    std::vector<int> repeated;
    std::vector<int> conflicting;
    std::vector<TimedRow> kept;
    for (std::size_t i = 0; i < rows.size();) {
        std::size_t end = i + 1;
        bool same = true;
        for (; end < rows.size() && rows[end].time == rows[i].time; ++end) {
            same = same && rest_of(*rows[end].row, columns) == rest_of(*rows[i].row, columns);
        }
        if (same) {
            kept.push_back(rows[i]);
        }
        for (std::size_t k = same ? i + 1 : i; k < end; ++k) {
            (same ? repeated : conflicting).push_back(rows[k].row->line);
        }
        i = end;
    }
    rows = std::move(kept);
    if (!repeated.empty()) {
        findings.push_back({"duplicate_row",
                            static_cast<int>(repeated.size()),
                            list_lines(repeated) + " left out: time and values repeat an earlier row"});
    }
    if (!conflicting.empty()) {
        findings.push_back({"conflicting_rows",
                            static_cast<int>(conflicting.size()),
                            list_lines(conflicting) + " left out: rows of one time hold different values"});
    }
}

}  // namespace

TimeColumns find_time_columns(const LogTable& table, const std::string& time_name, const std::string& date_name) {
    const std::string heads_place = table.text.name + ", line " + std::to_string(table.heads_line);
    const auto require = [&](const std::string& name) {
        const auto found = table.find(name);
        if (!found) {
            refuse_log(heads_place,
                       fmt::format("there is no column '{}' among {}", name, table.list_heads()),
                       "Correct its name in [conditions] columns");
        }
        return *found;
    };
    TimeColumns columns;
    if (!date_name.empty()) {
        columns.date = require(date_name);
    } else if (time_name.empty()) {
        columns.date = table.find("date");
    }
    if (!time_name.empty()) {
        columns.time = require(time_name);
        return columns;
    }
    const auto found = table.find("time");
    const std::optional<std::size_t> toa5 = table.is_toa5 ? table.find("TIMESTAMP") : std::nullopt;
    if (!found && !toa5 && (!table.heads.front().written.empty() || columns.date)) {
        refuse_log(
            heads_place,
            fmt::format("there is no column 'time' among {}", table.list_heads()),
            "Name it in survey.toml: [conditions] columns = { time = \"...\" }; for inspect: --column time=\"...\"");
    }
    // A table written with row labels has its times in a first column without a name.
    columns.time = found ? *found : toa5.value_or(0);
    return columns;
}

SettledOrder settle_date_order(const LogTable& table, const TimeColumns& columns, std::optional<DateOrder> declared) {
    if (declared) {
        return {declared, {}};
    }
    const std::vector<std::string> texts = time_texts(table, columns);
    const std::vector<std::string_view> views(texts.begin(), texts.end());
    const FoundDateOrder found = find_date_order(views);
    const bool undecided = found.needed && !found.order;
    // A text that is no time under any order is named by its line later on.
    if (undecided && std::all_of(views.begin(), views.end(), looks_like_time)) {
        refuse_log(table.place(table.rows.front(), columns.date.value_or(columns.time)),
                   fmt::format("'{}' can be read as day/month/year and as month/day/year", texts.front()),
                   "Say which in survey.toml: [conditions] date_order = \"day_first\" or \"month_first\"");
    }
    return {found.order, found.reason};
}

std::vector<const TextRow*> all_rows(const LogTable& table) {
    std::vector<const TextRow*> rows;
    rows.reserve(table.rows.size());
    for (const TextRow& row : table.rows) {
        rows.push_back(&row);
    }
    return rows;
}

std::vector<TimedRow> read_log_times(const LogTable& table,
                                     std::span<const TextRow* const> rows,
                                     const TimeColumns& columns,
                                     const Clock& clock,
                                     std::optional<DateOrder> order,
                                     std::vector<LogFinding>& findings) {
    std::vector<TimedRow> timed;
    timed.reserve(rows.size());
    std::vector<int> ambiguous;
    std::string first_ambiguous;
    for (const TextRow* row : rows) {
        const std::string text = time_text(*row, columns);
        const auto parsed = parse_written_time(text, order);
        const std::string where = table.place(*row, columns.time);
        if (!parsed) {
            refuse_log(where,
                       fmt::format("'{}' is no date and time", text),
                       "Write times like 2026-06-17 11:02:03, 17.06.2026 11:02 or, with [conditions] date_order, "
                       "06/17/2026 11:02");
        }
        const Instants instants = to_instants(clock, *parsed, where);
        if (instants.ambiguous()) {
            first_ambiguous = ambiguous.empty() ? text : first_ambiguous;
            ambiguous.push_back(row->line);
            continue;
        }
        timed.push_back({instants.first, row});
    }
    if (!ambiguous.empty()) {
        findings.push_back(
            {"ambiguous_time",
             static_cast<int>(ambiguous.size()),
             fmt::format("{} left out: the hour of '{}' passes twice at the end of daylight saving in {}",
                         list_lines(ambiguous),
                         first_ambiguous,
                         std::get<Clock::Zone>(clock.scale).name)});
    }
    refuse_repeated_hour(table, columns, timed);
    sort_rows(timed, findings);
    drop_equal_times(columns, timed, findings);
    return timed;
}

}  // namespace heatrow
