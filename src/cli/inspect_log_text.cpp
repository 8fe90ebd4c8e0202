#include "heatrow/io/clock.hpp"
#include "inspect_log.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>
#include <cmath>

namespace heatrow::cli {
namespace {

using Column = double (*)(const ConditionsRow&);

struct PlottedColumn {
    std::string_view name;
    std::string_view unit;
    Column value;
};

constexpr std::array<PlottedColumn, 8> kPlotted{{
    {"poa_global", "W/m2", [](const ConditionsRow& row) { return row.poa.value(); }},
    {"ghi", "W/m2", [](const ConditionsRow& row) { return row.ghi.value(); }},
    {"wind_speed", "m/s", [](const ConditionsRow& row) { return row.wind.value(); }},
    {"temp_air", "degC", [](const ConditionsRow& row) { return row.air.value(); }},
    {"temp_module", "degC", [](const ConditionsRow& row) { return row.module.value(); }},
    {"relative_humidity", "%", [](const ConditionsRow& row) { return row.relative_humidity_percent; }},
    {"cloud_okta", "okta", [](const ConditionsRow& row) { return row.cloud_okta; }},
    {"load_fraction", "1", [](const ConditionsRow& row) { return row.load_fraction; }},
}};

// Means over equal spans of time; NaN where a span holds no value.
std::vector<double> binned(const ConditionsSeries& series, Column value, std::size_t bins) {
    std::vector<double> sums(bins, 0.0);
    std::vector<int> counts(bins, 0);
    const auto& rows = series.rows();
    const double span = std::max(1.0, static_cast<double>((rows.back().time - rows.front().time).count()));
    for (const ConditionsRow& row : rows) {
        const double v = value(row);
        if (!std::isnan(v)) {
            const double at = static_cast<double>((row.time - rows.front().time).count()) / span;
            const auto bin = std::min(bins - 1, static_cast<std::size_t>(at * static_cast<double>(bins)));
            sums[bin] += v;
            ++counts[bin];
        }
    }
    for (std::size_t i = 0; i < bins; ++i) {
        sums[i] = counts[i] > 0 ? sums[i] / counts[i] : kNaN;
    }
    return sums;
}

// One character a span, eight heights from `low` to `high`; a blank where there is no value.
std::string sparkline(const std::vector<double>& values, double low, double high) {
    constexpr std::array<std::string_view, 8> kBars{
        "\u2581", "\u2582", "\u2583", "\u2584", "\u2585", "\u2586", "\u2587", "\u2588"};
    std::string line;
    for (const double value : values) {
        if (std::isnan(value)) {
            line += ' ';
            continue;
        }
        const double share = high > low ? (value - low) / (high - low) : 0.5;
        line += kBars[static_cast<std::size_t>(std::clamp(share * 8.0, 0.0, 7.0))];
    }
    return line;
}

struct Extremes {
    double least = kNaN;
    double most = kNaN;
};

Extremes extremes(const ConditionsSeries& series, Column value) {
    Extremes found;
    for (const ConditionsRow& row : series.rows()) {
        found.least = std::fmin(found.least, value(row));
        found.most = std::fmax(found.most, value(row));
    }
    return found;
}

std::string spacing_text(const ConditionsSeries& series) {
    const double seconds = static_cast<double>(series.usual_spacing().count()) / 1000.0;
    return seconds < 120.0 ? fmt::format("{:g} s", seconds) : fmt::format("{:g} min", seconds / 60.0);
}

std::string rows_text(const ConditionsLog& log) {
    const std::string spacing = spacing_text(log.series);
    if (log.label == IntervalLabel::sample) {
        return fmt::format("samples, {} apart", spacing);
    }
    return fmt::format("means over {:g} s stamped at the {} of the interval, {} apart",
                       static_cast<double>(log.series.logger().interval.count()) / 1000.0,
                       to_string(log.label),
                       spacing);
}

std::string describe_column(const LogColumn& column) {
    const std::string unit = column.unit.empty() ? "no unit written, own unit assumed" : "unit " + column.unit;
    return fmt::format("  {:<18} from '{}' ({}), {} values\n", column.quantity, column.name, unit, column.values);
}

std::string plots(const ConditionsSeries& series) {
    constexpr std::size_t kWidth = 72;
    std::string text;
    for (const PlottedColumn& column : kPlotted) {
        const Extremes range = extremes(series, column.value);
        if (std::isnan(range.least)) {
            continue;
        }
        text += fmt::format("  {:<18} {}\n  {:<18} {:.4g} to {:.4g} {}\n",
                            column.name,
                            sparkline(binned(series, column.value, kWidth), range.least, range.most),
                            "",
                            range.least,
                            range.most,
                            column.unit);
    }
    return text;
}

std::string sun_text(const InspectedLog& inspected) {
    if (!inspected.shift) {
        return inspected.why_no_shift;
    }
    const ClockShift& shift = *inspected.shift;
    return fmt::format(
        "the clock runs {:.1f} min {} (u = {:.1f} min); {:.0f} % of the daytime rows of {} day{} lie within "
        "{:.0f} W/m2 of a clear sky",
        std::abs(shift.ahead.value()) / 60.0,
        shift.ahead.value() < 0.0 ? "behind" : "ahead",
        shift.u_s / 60.0,
        100.0 * shift.share_fitted,
        shift.days,
        shift.days == 1 ? "" : "s",
        shift.residual_w_m2);
}

std::string gaps_text(const ConditionsLog& log) {
    const auto gap =
        std::find_if(log.findings.begin(), log.findings.end(), [](const LogFinding& f) { return f.kind == "gap"; });
    return gap != log.findings.end() ? gap->text
                                     : fmt::format("none longer than {:g} min",
                                                   static_cast<double>(log.series.maximum_gap().count()) / 60000.0);
}

// Clock, rows, span, gaps and the sun: what stands in the long and in the short text.
std::string reading_text(const InspectedLog& inspected) {
    const ConditionsLog& log = inspected.log;
    std::string text = fmt::format("  clock              {}\n", describe(log.clock));
    if (!log.date_order.empty()) {
        text += fmt::format("  dates              {}\n", log.date_order);
    }
    text += fmt::format(
        "  rows               {} read, {} used; {}\n", log.rows_read, log.series.rows().size(), rows_text(log));
    text +=
        fmt::format("  span (UTC)         {} to {}\n", to_iso8601(log.series.begins()), to_iso8601(log.series.ends()));
    if (log.clock.scale.index() != 0 || utc_offset(log.clock, log.series.begins()).count() != 0) {
        text += fmt::format(
            "  on its clock       {} to {}\n",
            to_iso8601(UtcTime(to_written(log.clock, log.series.begins()).time_since_epoch())).substr(0, 19),
            to_iso8601(UtcTime(to_written(log.clock, log.series.ends()).time_since_epoch())).substr(0, 19));
    }
    text += fmt::format("  gaps               {}\n", gaps_text(log));
    return text + fmt::format("  against the sun    {}\n", sun_text(inspected));
}

}  // namespace

std::string log_as_text(const InspectedLog& inspected) {
    const ConditionsLog& log = inspected.log;
    std::string text = fmt::format("{}: conditions log\n", log.name);
    text += fmt::format("  written as         {}{}\n", describe(log.dialect), log.is_toa5 ? ", TOA5 head" : "");
    text += reading_text(inspected);
    text += "\nColumns\n";
    for (const LogColumn& column : log.columns) {
        text += describe_column(column);
    }
    if (!log.ignored_columns.empty()) {
        text += fmt::format("  not used           {}\n", fmt::join(log.ignored_columns, ", "));
    }
    text += "\nFindings\n" + (log.findings.empty() ? "  none\n" : findings_in_short(log.findings));
    return text + "\nOver the span\n" + plots(log.series);
}

std::string log_in_short(const InspectedLog& inspected) {
    return fmt::format("conditions log {}\n", inspected.log.name) + reading_text(inspected) +
           findings_in_short(inspected.log.findings);
}

std::string findings_in_short(const std::vector<LogFinding>& findings) {
    std::string text;
    for (const LogFinding& finding : findings) {
        text += fmt::format("  {:<18} {}\n", finding.kind, finding.text);
    }
    return findings.empty() ? "  findings           none\n" : text;
}

std::string log_as_json(const InspectedLog& inspected) {
    const ConditionsLog& log = inspected.log;
    nlohmann::ordered_json json;
    json["log"] = log.name;
    json["dialect"] = describe(log.dialect);
    json["toa5"] = log.is_toa5;
    json["clock"] = describe(log.clock);
    json["date_order"] = log.date_order;
    json["interval_label"] = to_string(log.label);
    json["interval_s"] = static_cast<double>(log.series.logger().interval.count()) / 1000.0;
    json["spacing_s"] = static_cast<double>(log.series.usual_spacing().count()) / 1000.0;
    json["begins"] = to_iso8601(log.series.begins());
    json["ends"] = to_iso8601(log.series.ends());
    json["rows_read"] = log.rows_read;
    json["rows_used"] = log.series.rows().size();
    json["columns"] = nlohmann::ordered_json::array();
    for (const LogColumn& column : log.columns) {
        json["columns"].push_back(
            {{"quantity", column.quantity}, {"name", column.name}, {"unit", column.unit}, {"values", column.values}});
    }
    json["clock_shift"] = nullptr;
    if (const auto& shift = inspected.shift) {
        json["clock_shift"] = {{"ahead_s", shift->ahead.value()},
                               {"u_s", shift->u_s},
                               {"residual_w_m2", shift->residual_w_m2},
                               {"rows_fitted", shift->rows_fitted},
                               {"share_fitted", shift->share_fitted}};
    }
    json["ignored_columns"] = log.ignored_columns;
    json["findings"] = nlohmann::ordered_json::array();
    for (const LogFinding& finding : log.findings) {
        json["findings"].push_back({{"kind", finding.kind}, {"count", finding.count}, {"text", finding.text}});
    }
    return json.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace heatrow::cli
