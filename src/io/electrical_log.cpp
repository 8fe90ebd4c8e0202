#include "heatrow/io/electrical_log.hpp"

#include "heatrow/io/clock.hpp"
#include "heatrow/io/decode_text.hpp"
#include "log_table.hpp"
#include "log_times.hpp"
#include "log_units.hpp"
#include "log_values.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

namespace heatrow {
namespace {

std::string setting(const std::map<std::string, std::string>& settings, const std::string& key) {
    const auto found = settings.find(key);
    return found == settings.end() ? std::string() : found->second;
}

std::string heads_place(const LogTable& table) {
    return fmt::format("{}, line {}", table.text.name, table.heads_line);
}

// The id of the layout that a tag means; nothing if the layout has none such.
std::optional<std::string> string_of(const std::string& tag, const ElectricalLogOptions& options) {
    const std::string mapped = setting(options.strings, tag);
    const std::string id = mapped.empty() ? tag : mapped;
    const auto& known = options.known_strings;
    const bool is_known = known.empty() || std::find(known.begin(), known.end(), id) != known.end();
    return is_known ? std::optional(id) : std::nullopt;
}

// One column of currents or voltages.
struct ReadColumn {
    std::size_t column = 0;
    UnitKind kind = UnitKind::current;
    UnitConversion conversion;
    ImplausibleValues implausible;
};

// What a string of modules can carry: a clamp put on the wrong way round reads below it.
struct PlausibleRange {
    double least;
    double most;
};
PlausibleRange range_of(UnitKind kind) {
    return kind == UnitKind::voltage ? PlausibleRange{-50.0, 2000.0} : PlausibleRange{-0.5, 100.0};
}

double read_value(const LogTable& table, const ValueReader& reader, const TextRow& row, ReadColumn& column) {
    const auto written = reader.read(table, row, column.column);
    if (!written) {
        return kNaN;
    }
    const double value = column.conversion.apply(*written);
    const PlausibleRange range = range_of(column.kind);
    if (value < range.least || value > range.most) {
        column.implausible.leave_out(row.line, cell(row, column.column));
        return kNaN;
    }
    ++column.implausible.kept;
    return value;
}

void report_column(const LogTable& table, const ReadColumn& column, std::vector<LogFinding>& findings) {
    const PlausibleRange range = range_of(column.kind);
    report_implausible(table,
                       column.implausible,
                       {table.heads[column.column].written,
                        column.kind == UnitKind::voltage ? "voltage" : "current",
                        fmt::format("{} to {} {}", range.least, range.most, own_unit(column.kind)),
                        "[electrical]"},
                       findings);
}

UnitConversion conversion_of(const LogTable& table, std::size_t column, UnitKind kind, const std::string& declared) {
    const std::string unit = declared.empty() ? table.heads[column].unit : declared;
    const auto conversion = find_conversion(kind, unit);
    if (!conversion) {
        refuse_log(heads_place(table) + ", field " + table.heads[column].written,
                   fmt::format("'{}' is no unit that is known here", unit),
                   fmt::format("Say which of {} it is in [electrical] units", known_units(kind)));
    }
    return *conversion;
}

void report_unknown(const std::set<std::string>& tags, int readings, std::vector<LogFinding>& findings) {
    if (tags.empty()) {
        return;
    }
    std::string list;
    for (const std::string& tag : tags) {
        list += (list.empty() ? "'" : ", '") + tag + "'";
        if (list.size() > 120) {
            list += ", ...";
            break;
        }
    }
    findings.push_back(
        {"unknown_string",
         readings,
         "readings left out: the layout has no string " + list + "; map the tags in [electrical] strings"});
}

[[noreturn]] void refuse_no_string(const LogTable& table) {
    refuse_log(heads_place(table),
               "nothing in it names a string of the layout; its columns are " + table.list_heads(),
               "Map the tags of the log to string ids in [electrical] strings");
}

class LongReader {
  public:
    LongReader(const LogTable& table, const ElectricalLogOptions& options, std::size_t string_column)
        : table_(table), options_(options), reader_(options.missing), string_(string_column) {
        current_ = bind("current", UnitKind::current);
        voltage_ = bind("voltage", UnitKind::voltage);
        const std::string quality = setting(options.columns, "quality");
        quality_ = table.find(quality.empty() ? "quality" : quality);
        if (!current_) {
            refuse_log(heads_place(table),
                       "there is no column 'current' among " + table.list_heads(),
                       "Name it in [electrical] columns = { current = \"...\" }");
        }
    }

    void read(const TimeColumns& times, const Clock& clock, std::optional<DateOrder> order, ElectricalLog& log) {
        std::map<std::string, std::vector<const TextRow*>> rows_of;
        std::set<std::string> unknown;
        int unknown_rows = 0;
        std::vector<int> bad;
        for (const TextRow& row : table_.rows) {
            const std::string tag(cell(row, string_));
            if (quality_ && !is_good(cell(row, *quality_))) {
                bad.push_back(row.line);
            } else if (const auto id = string_of(tag, options_)) {
                rows_of[*id].push_back(&row);
            } else {
                unknown.insert(tag);
                ++unknown_rows;
            }
        }
        if (rows_of.empty()) {
            refuse_no_string(table_);
        }
        if (!bad.empty()) {
            log.findings.push_back(
                {"bad_quality", static_cast<int>(bad.size()), list_lines(bad) + " left out: marked as of bad quality"});
        }
        report_unknown(unknown, unknown_rows, log.findings);
        for (const auto& [id, rows] : rows_of) {
            for (const TimedRow& timed : read_log_times(table_, rows, times, clock, order, log.findings)) {
                log.strings[id].push_back({timed.time, value(*timed.row, current_), value(*timed.row, voltage_)});
            }
        }
        for (const auto* column : {&current_, &voltage_}) {
            if (*column) {
                report_column(table_, **column, log.findings);
            }
        }
    }

  private:
    std::optional<ReadColumn> bind(const std::string& quantity, UnitKind kind) const {
        const std::string mapped = setting(options_.columns, quantity);
        const auto column = table_.find(mapped.empty() ? quantity : mapped);
        if (!column && !mapped.empty()) {
            refuse_log(heads_place(table_),
                       fmt::format("there is no column '{}' among {}", mapped, table_.list_heads()),
                       "Correct " + quantity + " in [electrical] columns");
        }
        if (!column) {
            return std::nullopt;
        }
        return ReadColumn{*column, kind, conversion_of(table_, *column, kind, setting(options_.units, quantity)), {}};
    }
    [[nodiscard]] bool is_good(std::string_view text) const {
        const auto& good = options_.good_quality;
        return std::find(good.begin(), good.end(), text) != good.end();
    }
    [[nodiscard]] double value(const TextRow& row, std::optional<ReadColumn>& column) const {
        return column ? read_value(table_, reader_, row, *column) : kNaN;
    }

    const LogTable& table_;
    const ElectricalLogOptions& options_;
    ValueReader reader_;
    std::size_t string_;
    std::optional<ReadColumn> current_;
    std::optional<ReadColumn> voltage_;
    std::optional<std::size_t> quality_;
};

// One column per string: volts where the head's unit says so, else amperes.
void read_wide(const LogTable& table,
               const ElectricalLogOptions& options,
               const TimeColumns& times,
               const std::vector<TimedRow>& rows,
               ElectricalLog& log) {
    const ValueReader reader(options.missing);
    std::set<std::string> unknown;
    for (std::size_t i = 0; i < table.heads.size(); ++i) {
        if (i == times.time || i == times.date) {
            continue;
        }
        const LogHead& head = table.heads[i];
        auto id = string_of(head.written, options);
        id = id && !(options.known_strings.empty() && head.name != head.written) ? id : string_of(head.name, options);
        if (!id) {
            unknown.insert(head.written);
            continue;
        }
        const bool is_voltage = !head.unit.empty() && find_conversion(UnitKind::voltage, head.unit).has_value();
        const UnitKind kind = is_voltage ? UnitKind::voltage : UnitKind::current;
        ReadColumn column{
            i, kind, conversion_of(table, i, kind, setting(options.units, is_voltage ? "voltage" : "current")), {}};
        auto& readings = log.strings[*id];
        readings.resize(rows.size());
        for (std::size_t k = 0; k < rows.size(); ++k) {
            readings[k].time = rows[k].time;
            (is_voltage ? readings[k].voltage_v : readings[k].current_a) =
                read_value(table, reader, *rows[k].row, column);
        }
        report_column(table, column, log.findings);
    }
    if (log.strings.empty()) {
        refuse_no_string(table);
    }
    report_unknown(unknown, static_cast<int>(unknown.size() * rows.size()), log.findings);
}

}  // namespace

ElectricalLog parse_electrical_log(std::string_view bytes,
                                   std::string_view name,
                                   const Clock& clock,
                                   const ElectricalLogOptions& options) {
    require_known_zone(clock, name);
    ElectricalLog log;
    const LogTable table = read_log_table(parse_text_table(bytes, name), log.findings);
    log.name = table.text.name;
    log.dialect = table.text.dialect;
    log.rows_read = static_cast<int>(table.rows.size());
    const TimeColumns times =
        find_time_columns(table, setting(options.columns, "time"), setting(options.columns, "date"));
    const SettledOrder order = settle_date_order(table, times, options.date_order);
    const std::string mapped = setting(options.columns, "string");
    const auto string_column = table.find(mapped.empty() ? "string" : mapped);
    if (!string_column && !mapped.empty()) {
        refuse_log(heads_place(table),
                   fmt::format("there is no column '{}' among {}", mapped, table.list_heads()),
                   "Correct string in [electrical] columns");
    }
    log.long_form = string_column.has_value();
    if (string_column) {
        LongReader(table, options, *string_column).read(times, clock, order.order, log);
    } else {
        const auto rows = read_log_times(table, all_rows(table), times, clock, order.order, log.findings);
        read_wide(table, options, times, rows, log);
    }
    return log;
}

ElectricalLog read_electrical_log(const std::filesystem::path& path,
                                  const Clock& clock,
                                  const ElectricalLogOptions& options) {
    return parse_electrical_log(read_text_bytes(path), path.string(), clock, options);
}

}  // namespace heatrow
