#include "heatrow/io/flight_log.hpp"

#include "heatrow/io/decode_text.hpp"
#include "log_table.hpp"
#include "log_times.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

std::string column_name(const PoseSettings& settings, std::string_view quantity) {
    const auto mapped = settings.columns.find(std::string(quantity));
    return mapped == settings.columns.end() ? std::string(quantity) : mapped->second;
}

std::array<std::size_t, 6> find_columns(const LogTable& table, const PoseSettings& settings) {
    std::array<std::size_t, 6> columns{};
    const auto names = settings.rules.names();
    for (std::size_t i = 0; i < names.size(); ++i) {
        const std::string name = column_name(settings, names[i]);
        const auto column = table.find(name);
        if (!column) {
            refuse_log(fmt::format("{}, line {}", table.text.name, table.heads_line),
                       fmt::format("there is no column '{}' among {}", name, table.list_heads()),
                       fmt::format("Name the column that holds it in [poses] columns = {{ {} = \"...\" }}", names[i]));
        }
        columns[i] = *column;
    }
    return columns;
}

double interpolated_angle(double before, double after, double share) {
    return before + share * std::remainder(after - before, 360.0);
}

}  // namespace

WrittenPose FlightLog::at(UtcTime time, std::chrono::milliseconds longest_gap) const {
    const auto after = std::lower_bound(
        rows.begin(), rows.end(), time, [](const FlightLogRow& row, UtcTime t) { return row.time < t; });
    if (after == rows.end()) {
        return {};
    }
    if (after->time == time) {
        return after->pose;
    }
    if (after == rows.begin() || after->time - std::prev(after)->time > longest_gap) {
        return {};
    }
    const FlightLogRow& before = *std::prev(after);
    const std::chrono::duration<double> since = time - before.time;
    const std::chrono::duration<double> whole = after->time - before.time;
    const double share = since / whole;
    // A row without fix says nothing of what lies between.
    const auto has_fix = [](const WrittenPose& pose) { return pose.values[0] != 0.0 || pose.values[1] != 0.0; };
    if (!has_fix(before.pose) || !has_fix(after->pose)) {
        return {};
    }
    WrittenPose pose;
    for (std::size_t i = 0; i < pose.values.size(); ++i) {
        const double low = before.pose.values[i];
        const double high = after->pose.values[i];
        pose.values[i] = i < 3 ? low + share * (high - low) : interpolated_angle(low, high, share);
    }
    return pose;
}

FlightLog parse_flight_log(std::string_view bytes, std::string_view name, const PoseSettings& settings) {
    FlightLog log;
    log.name = name;
    const LogTable table = read_log_table(parse_text_table(bytes, name), log.findings);
    const auto columns = find_columns(table, settings);
    const auto written_name = [&](const char* quantity) {
        const auto mapped = settings.columns.find(quantity);
        return mapped == settings.columns.end() ? std::string() : mapped->second;
    };
    const TimeColumns times = find_time_columns(table, written_name("time"), written_name("date"));
    const SettledOrder order = settle_date_order(table, times, settings.date_order);
    for (const TimedRow& timed :
         read_log_times(table, all_rows(table), times, settings.flight_log_clock, order.order, log.findings)) {
        FlightLogRow row{timed.time, table.text.place(*timed.row), {}};
        for (std::size_t i = 0; i < columns.size(); ++i) {
            const std::string_view text = cell(*timed.row, columns[i]);
            const auto number = table.text.number(text);
            if (!number && !text.empty()) {
                refuse_log(table.place(*timed.row, columns[i]),
                           fmt::format("'{:.40}' is no number", text),
                           "Correct it or leave it empty");
            }
            row.pose.values[i] = number.value_or(kNaN);
        }
        log.rows.push_back(std::move(row));
    }
    return log;
}

FlightLog read_flight_log(const std::filesystem::path& file, const PoseSettings& settings) {
    return parse_flight_log(read_text_bytes(file), file.string(), settings);
}

}  // namespace heatrow
