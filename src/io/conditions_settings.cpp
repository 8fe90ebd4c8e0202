#include "conditions_settings.hpp"

#include "log_units.hpp"

namespace heatrow {
namespace {

using detail::kPositive;
using detail::Range;
using detail::TomlSection;

std::vector<std::string_view> quantity_names(bool with_time) {
    std::vector<std::string_view> names;
    for (const LogQuantity& quantity : log_quantities()) {
        names.push_back(quantity.name);
    }
    if (with_time) {
        names.insert(names.end(), {"time", "date"});
    }
    return names;
}

void read_label(const TomlSection& section, ConditionsLogOptions& options) {
    if (const auto text = section.optional_text("interval_label")) {
        options.label = parse_interval_label(*text);
        if (!options.label) {
            section.fail("interval_label",
                         "\"" + *text + "\" is no label",
                         "Use \"sample\", or for means \"start\", \"middle\" or \"end\" of the interval");
        }
    }
    if (const auto seconds = section.optional_number("interval_s", kPositive)) {
        options.interval = std::chrono::milliseconds(static_cast<std::int64_t>(*seconds * 1000.0));
        if (!options.label || *options.label == IntervalLabel::sample) {
            section.fail("interval_s", "samples have no interval", "Give interval_label too, or leave this out");
        }
    }
    options.date_order = read_date_order(section);
}

void read_sensor_plane(const TomlSection& section, LoggerDescription& logger) {
    const auto tilt = section.optional_number("sensor_tilt", Range{0.0, 180.0});
    const auto azimuth = section.optional_number("sensor_azimuth", Range{0.0, 360.0});
    if (tilt.has_value() != azimuth.has_value()) {
        section.fail(tilt ? "sensor_tilt" : "sensor_azimuth",
                     "a plane needs sensor_tilt and sensor_azimuth",
                     "Give both, or neither where the sensor lies in the modules' plane");
    }
    if (tilt) {
        logger.sensor_plane = PlaneOrientation{degrees(*tilt), degrees(*azimuth)};
    }
}

}  // namespace

std::map<std::string, std::string> read_names(const TomlSection& section,
                                              std::string_view key,
                                              const std::vector<std::string_view>& known) {
    std::map<std::string, std::string> names;
    if (const auto table = section.optional_section(key, known)) {
        for (const std::string_view name : known) {
            if (const auto text = table->optional_text(name)) {
                names.emplace(name, *text);
            }
        }
    }
    return names;
}

std::optional<DateOrder> read_date_order(const TomlSection& section) {
    const auto text = section.optional_text("date_order");
    if (!text) {
        return std::nullopt;
    }
    if (*text != "day_first" && *text != "month_first") {
        section.fail("date_order", "\"" + *text + "\" is no order", "Use \"day_first\" or \"month_first\"");
    }
    return *text == "day_first" ? DateOrder::day_first : DateOrder::month_first;
}

const std::vector<std::string_view>& conditions_keys() {
    static const std::vector<std::string_view> keys{"log",
                                                    "clock",
                                                    "columns",
                                                    "units",
                                                    "missing",
                                                    "date_order",
                                                    "interval_label",
                                                    "interval_s",
                                                    "sensor_tilt",
                                                    "sensor_azimuth",
                                                    "irradiance_u_percent",
                                                    "distance_m",
                                                    "max_gap_s",
                                                    "module_mass_kg_m2",
                                                    "albedo",
                                                    "reports"};
    return keys;
}

ConditionsSettings read_conditions_settings(const TomlSection& section, const std::filesystem::path& folder) {
    ConditionsSettings settings;
    settings.log = (folder / section.text("log")).lexically_normal();
    ConditionsLogOptions& options = settings.options;
    options.columns = read_names(section, "columns", quantity_names(true));
    options.units = read_names(section, "units", quantity_names(false));
    if (section.has("missing")) {
        options.missing = section.texts("missing");
    }
    read_label(section, options);
    LoggerDescription& logger = options.logger;
    read_sensor_plane(section, logger);
    if (const auto percent = section.optional_number("irradiance_u_percent", Range{0.0, 50.0, true})) {
        logger.irradiance_u_share = *percent / 100.0;
    }
    if (const auto metres = section.optional_number("distance_m", Range{0.0, 100000.0})) {
        logger.distance = Metres(*metres);
    }
    if (const auto seconds = section.optional_number("max_gap_s", kPositive)) {
        logger.maximum_gap = std::chrono::milliseconds(static_cast<std::int64_t>(*seconds * 1000.0));
    }
    // The range of the published time constants.
    if (const auto mass = section.optional_number("module_mass_kg_m2", Range{5.0, 16.0})) {
        logger.module_mass_kg_per_m2 = *mass;
    }
    settings.albedo = section.optional_number("albedo", Range{0.0, 1.0}).value_or(settings.albedo);
    if (const auto reports = section.optional_text("reports")) {
        settings.reports = (folder / *reports).lexically_normal();
    }
    return settings;
}

}  // namespace heatrow
