#include "heatrow/io/conditions_log.hpp"

#include "heatrow/io/clock.hpp"
#include "heatrow/io/decode_text.hpp"
#include "log_table.hpp"
#include "log_times.hpp"
#include "log_units.hpp"
#include "log_values.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace heatrow {
namespace {

using std::chrono::milliseconds;

struct BoundColumn {
    std::size_t index;
    const LogQuantity* quantity;
    UnitConversion conversion;
    LogColumn described;
    ImplausibleValues implausible;
};

std::string setting(const std::map<std::string, std::string>& settings, std::string_view key) {
    const auto found = settings.find(std::string(key));
    return found == settings.end() ? std::string() : found->second;
}

void check_names(const ConditionsLogOptions& options) {
    for (const auto* settings : {&options.columns, &options.units}) {
        for (const auto& [quantity, value] : *settings) {
            if (find_quantity(quantity) == nullptr && quantity != "time" && quantity != "date") {
                std::string known = "time, date";
                for (const LogQuantity& each : log_quantities()) {
                    known += ", " + std::string(each.name);
                }
                throw Error(ErrorKind::usage,
                            "cannot read the log",
                            "[conditions], '" + quantity + "'",
                            "it is no quantity of a conditions log",
                            "Use one of " + known);
            }
        }
    }
}

UnitConversion conversion_of(const LogTable& table,
                             std::size_t index,
                             const LogQuantity& quantity,
                             const std::string& unit) {
    const auto conversion = find_conversion(quantity.kind, unit);
    if (!conversion) {
        refuse_log(fmt::format("{}, line {}, field {}", table.text.name, table.heads_line, table.heads[index].written),
                   fmt::format("'{}' is no unit of {} that is known", unit, quantity.name),
                   fmt::format("Say which of {} it is in survey.toml: [conditions] units = {{ {} = \"{}\" }}",
                               known_units(quantity.kind),
                               quantity.name,
                               own_unit(quantity.kind)));
    }
    return *conversion;
}

std::vector<BoundColumn> bind_columns(const LogTable& table, const ConditionsLogOptions& options) {
    std::vector<BoundColumn> columns;
    for (const LogQuantity& quantity : log_quantities()) {
        const std::string mapped = setting(options.columns, quantity.name);
        const auto index = table.find(mapped.empty() ? std::string(quantity.name) : mapped);
        if (!index) {
            if (!mapped.empty()) {
                refuse_log(fmt::format("{}, line {}", table.text.name, table.heads_line),
                           fmt::format("there is no column '{}' among {}", mapped, table.list_heads()),
                           fmt::format("Correct {} in [conditions] columns", quantity.name));
            }
            continue;
        }
        const std::string declared = setting(options.units, quantity.name);
        const std::string unit = declared.empty() ? table.heads[*index].unit : declared;
        columns.push_back({*index,
                           &quantity,
                           conversion_of(table, *index, quantity, unit),
                           {std::string(quantity.name), table.heads[*index].written, unit, 0},
                           {}});
    }
    const bool has_irradiance = std::any_of(columns.begin(), columns.end(), [](const BoundColumn& column) {
        return column.quantity->name == "poa_global" || column.quantity->name == "ghi";
    });
    if (!has_irradiance) {
        refuse_log(fmt::format("{}, line {}", table.text.name, table.heads_line),
                   fmt::format("there is no column 'poa_global' or 'ghi' among {}", table.list_heads()),
                   "Name the column of irradiance in survey.toml: [conditions] columns = { poa_global = \"...\" }; for "
                   "inspect: "
                   "--column poa_global=\"...\"");
    }
    return columns;
}

void store_value(
    const LogTable& table, const TextRow& row, const ValueReader& reader, BoundColumn& column, ConditionsRow& result) {
    const auto written = reader.read(table, row, column.index);
    if (!written) {
        return;
    }
    const double value = column.conversion.apply(*written);
    if (value < column.quantity->least || value > column.quantity->most) {
        column.implausible.leave_out(row.line, cell(row, column.index));
        return;
    }
    column.quantity->store(result, value);
    ++column.implausible.kept;
}

IntervalLabel settle_label(const LogTable& table,
                           const std::vector<BoundColumn>& columns,
                           const ConditionsLogOptions& options,
                           std::vector<LogFinding>& findings) {
    if (options.label) {
        return *options.label;
    }
    const std::string& processing = table.heads[columns.front().index].processing;
    if (processing == "Avg") {
        findings.push_back({"interval_label_from_head",
                            1,
                            "the head says Avg: rows are taken as means stamped at the end of their interval, as such "
                            "loggers do; declare [conditions] interval_label if this one does not"});
        return IntervalLabel::end;
    }
    return IntervalLabel::sample;
}

milliseconds usual_spacing(const std::vector<TimedRow>& rows) {
    std::vector<ConditionsRow> times(rows.size());
    for (std::size_t i = 0; i < rows.size(); ++i) {
        times[i].time = rows[i].time;
    }
    return ConditionsSeries(std::move(times)).usual_spacing();
}

// From the written time of a mean to the middle of its interval.
milliseconds to_middle(IntervalLabel label, milliseconds interval) {
    switch (label) {
        case IntervalLabel::start:
            return interval / 2;
        case IntervalLabel::end:
            return -(interval / 2);
        case IntervalLabel::sample:
        case IntervalLabel::middle:
            break;
    }
    return milliseconds(0);
}

ConditionsSeries read_rows(const LogTable& table,
                           const std::vector<TimedRow>& times,
                           const ValueReader& reader,
                           const ConditionsLogOptions& options,
                           IntervalLabel label,
                           std::vector<BoundColumn>& columns) {
    LoggerDescription logger = options.logger;
    if (label != IntervalLabel::sample) {
        logger.interval = options.interval.value_or(usual_spacing(times));
    }
    const milliseconds shift = to_middle(label, logger.interval);
    std::vector<ConditionsRow> rows;
    rows.reserve(times.size());
    for (const TimedRow& timed : times) {
        ConditionsRow row;
        row.time = timed.time + shift;
        for (BoundColumn& column : columns) {
            store_value(table, *timed.row, reader, column, row);
        }
        rows.push_back(row);
    }
    return ConditionsSeries(std::move(rows), logger);
}

void list_ignored(const LogTable& table,
                  const TimeColumns& time_columns,
                  const std::vector<BoundColumn>& columns,
                  std::vector<std::string>& ignored) {
    for (std::size_t i = 0; i < table.heads.size(); ++i) {
        const bool used = i == time_columns.time || i == time_columns.date ||
                          std::any_of(columns.begin(), columns.end(), [i](const auto& c) { return c.index == i; });
        if (!used) {
            ignored.push_back(table.heads[i].written);
        }
    }
}

void require_irradiance(const LogTable& table, const std::vector<BoundColumn>& columns, std::size_t rows_placed) {
    const BoundColumn& irradiance = columns.front();
    const bool any = std::any_of(columns.begin(), columns.end(), [](const BoundColumn& column) {
        return column.quantity->kind == UnitKind::irradiance && column.described.values > 0;
    });
    if (!any) {
        refuse_log(fmt::format("{}, field {}", table.text.name, irradiance.described.name),
                   rows_placed == 0 ? "no row is left that can be placed in time" : "no row holds a value",
                   "Give a log that holds irradiance, or name its column in [conditions] columns");
    }
}

}  // namespace

std::string_view to_string(IntervalLabel label) {
    constexpr std::array<std::string_view, 4> kNames{"sample", "start", "middle", "end"};
    return kNames[static_cast<std::size_t>(label)];
}

std::optional<IntervalLabel> parse_interval_label(std::string_view text) {
    for (const IntervalLabel label :
         {IntervalLabel::sample, IntervalLabel::start, IntervalLabel::middle, IntervalLabel::end}) {
        if (to_string(label) == text) {
            return label;
        }
    }
    return std::nullopt;
}

ConditionsLog parse_conditions_log(std::string_view bytes,
                                   std::string_view name,
                                   const Clock& clock,
                                   const ConditionsLogOptions& options) {
    check_names(options);
    require_known_zone(clock, name);
    ConditionsLog log;
    const LogTable table = read_log_table(parse_text_table(bytes, name), log.findings);
    std::vector<BoundColumn> columns = bind_columns(table, options);
    const TimeColumns time_columns =
        find_time_columns(table, setting(options.columns, "time"), setting(options.columns, "date"));
    const SettledOrder order = settle_date_order(table, time_columns, options.date_order);
    const std::vector<TimedRow> times =
        read_log_times(table, all_rows(table), time_columns, clock, order.order, log.findings);
    log.name = table.text.name;
    log.dialect = table.text.dialect;
    log.is_toa5 = table.is_toa5;
    log.clock = clock;
    if (order.order) {
        log.date_order =
            std::string(to_string(*order.order)) + (order.reason.empty() ? " (declared)" : " (" + order.reason + ")");
    }
    log.label = settle_label(table, columns, options, log.findings);
    log.rows_read = static_cast<int>(table.rows.size());
    ValueReader reader(options.missing);
    log.series = read_rows(table, times, reader, options, log.label, columns);
    for (BoundColumn& column : columns) {
        const LogQuantity& quantity = *column.quantity;
        const std::string range = fmt::format("{} to {} {}", quantity.least, quantity.most, own_unit(quantity.kind));
        report_implausible(table,
                           column.implausible,
                           {column.described.name, std::string(quantity.name), range, "[conditions]"},
                           log.findings);
        column.described.values = column.implausible.kept;
        log.columns.push_back(column.described);
    }
    require_irradiance(table, columns, times.size());
    list_ignored(table, time_columns, columns, log.ignored_columns);
    return log;
}

ConditionsLog read_conditions_log(const std::filesystem::path& path,
                                  const Clock& clock,
                                  const ConditionsLogOptions& options) {
    return parse_conditions_log(read_text_bytes(path), path.string(), clock, options);
}

}  // namespace heatrow
