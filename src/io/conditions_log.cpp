#include "heatrow/io/conditions_log.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/io/clock.hpp"
#include "heatrow/io/decode_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace heatrow {
namespace {

constexpr std::string_view kFailed = "cannot read the conditions log";

// A quantity, the column that holds it and where its value goes.
struct Target {
    std::string_view quantity;
    std::string_view unit;
    void (*store)(ConditionsRow&, double);
};

const std::array<Target, 7> kTargets{{
    {"poa_global", "W/m2", [](ConditionsRow& row, double v) { row.poa = WattsPerSquareMetre(v); }},
    {"wind_speed", "m/s", [](ConditionsRow& row, double v) { row.wind = MetresPerSecond(v); }},
    {"temp_air", "degC", [](ConditionsRow& row, double v) { row.air = Celsius(v); }},
    {"temp_module", "degC", [](ConditionsRow& row, double v) { row.module = Celsius(v); }},
    {"relative_humidity", "%", [](ConditionsRow& row, double v) { row.relative_humidity_percent = v; }},
    {"cloud_okta", "okta", [](ConditionsRow& row, double v) { row.cloud_okta = v; }},
    {"load_fraction", "", [](ConditionsRow& row, double v) { row.load_fraction = v; }},
}};

struct BoundColumn {
    std::size_t index;
    const Target* target;
};

std::string column_name(const ConditionsLogOptions& options, std::string_view quantity) {
    const auto found = options.columns.find(std::string(quantity));
    return found == options.columns.end() ? std::string(quantity) : found->second;
}

std::size_t require_column(const TextTable& table, const std::string& column) {
    const auto found = table.find_column(column);
    if (!found) {
        throw Error(ErrorKind::input,
                    kFailed,
                    table.place(table.header),
                    "there is no column '" + column + "'",
                    "Name the column in [conditions] columns, or add it");
    }
    return *found;
}

double read_value(const TextTable& table, const TextRow& row, const BoundColumn& column) {
    const std::string_view text = cell(row, column.index);
    if (text.empty()) {
        return kNaN;
    }
    const auto value = table.number(text);
    if (!value) {
        throw Error(ErrorKind::input,
                    kFailed,
                    table.place(row, table.header.cells[column.index]),
                    "'" + std::string(text) + "' is no number",
                    "Correct the value, or leave the field empty where nothing was measured");
    }
    return *value;
}

UtcTime read_time(const TextTable& table, const TextRow& row, std::size_t column, const Clock& clock) {
    const std::string_view text = cell(row, column);
    const std::string where = table.place(row, table.header.cells[column]);
    const auto parsed = parse_iso8601(text);
    if (!parsed) {
        throw Error(ErrorKind::input,
                    kFailed,
                    where,
                    "'" + std::string(text) + "' is no date and time",
                    "Write times like 2026-06-17T11:02:03");
    }
    return to_utc(clock, *parsed, where);
}

}  // namespace

ConditionsLog parse_conditions_log(std::string_view bytes,
                                   std::string_view name,
                                   const Clock& clock,
                                   const ConditionsLogOptions& options) {
    const TextTable table = parse_text_table(bytes, name);
    const std::size_t time_column = require_column(table, column_name(options, "time"));
    require_column(table, column_name(options, "poa_global"));
    ConditionsLog log;
    log.name = table.name;
    log.dialect = table.dialect;
    log.clock = clock;
    std::vector<BoundColumn> columns;
    for (const Target& target : kTargets) {
        const std::string column = column_name(options, target.quantity);
        if (const auto index = table.find_column(column)) {
            columns.push_back({*index, &target});
            log.columns.push_back({std::string(target.quantity), column, std::string(target.unit), 0});
        }
    }
    std::vector<ConditionsRow> rows;
    for (const TextRow& text : table.rows) {
        ConditionsRow row;
        row.time = read_time(table, text, time_column, clock);
        for (const BoundColumn& column : columns) {
            column.target->store(row, read_value(table, text, column));
        }
        rows.push_back(row);
    }
    log.rows_read = static_cast<int>(rows.size());
    log.series = ConditionsSeries(std::move(rows), options.logger);
    return log;
}

ConditionsLog read_conditions_log(const std::filesystem::path& path,
                                  const Clock& clock,
                                  const ConditionsLogOptions& options) {
    return parse_conditions_log(read_text_bytes(path), path.string(), clock, options);
}

}  // namespace heatrow
