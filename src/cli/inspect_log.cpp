#include "inspect_log.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/io/clock.hpp"
#include "heatrow/io/site_conditions.hpp"
#include "heatrow/io/text_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <fstream>
#include <map>

namespace heatrow::cli {
namespace {

namespace fs = std::filesystem;

// "name=value" words as a map; Error (usage) for any other word.
std::map<std::string, std::string> pairs(const std::vector<std::string>& words, std::string_view option) {
    std::map<std::string, std::string> map;
    for (const std::string& word : words) {
        const auto equals = word.find('=');
        if (equals == std::string::npos || equals == 0) {
            throw Error(ErrorKind::usage,
                        "cannot use an option",
                        option,
                        "'" + word + "' is not QUANTITY=TEXT",
                        "Write for example " + std::string(option) + " poa_global=\"Plane of array\"");
        }
        map[word.substr(0, equals)] = word.substr(equals + 1);
    }
    return map;
}

Clock clock_of(const LogOptions& options) {
    Clock clock;
    if (!options.zone.empty()) {
        clock.scale = Clock::Zone{options.zone};
    } else if (!options.utc_offset.empty()) {
        // Read as the offset of a written time.
        const auto parsed = parse_iso8601("2026-01-01T00:00:00" + options.utc_offset);
        if (!parsed || !parsed->utc_offset) {
            throw Error(ErrorKind::usage,
                        "cannot use an option",
                        "--utc-offset",
                        "'" + options.utc_offset + "' is no offset",
                        "Write for example +02:00 or -07:00");
        }
        clock.scale = Clock::FixedOffset{*parsed->utc_offset};
    }
    return clock;
}

ConditionsLogOptions reading_of(const LogOptions& options) {
    ConditionsLogOptions reading;
    reading.columns = pairs(options.columns, "--column");
    reading.units = pairs(options.units, "--unit-of");
    if (!options.date_order.empty()) {
        reading.date_order = options.date_order == "day_first" ? DateOrder::day_first : DateOrder::month_first;
    }
    if (!options.interval_label.empty()) {
        reading.label = parse_interval_label(options.interval_label);
    }
    if (options.sensor_tilt) {
        reading.logger.sensor_plane =
            PlaneOrientation{degrees(*options.sensor_tilt), degrees(options.sensor_azimuth.value_or(180.0))};
    }
    return reading;
}

}  // namespace

void add_log_options(CLI::App& app, LogOptions& options) {
    const std::string group = "Logs";
    app.add_option("--column", options.columns, "Log: QUANTITY=HEAD, such as poa_global=\"Plane of array\"")
        ->allow_extra_args(false)
        ->group(group);
    app.add_option("--unit-of", options.units, "Log: QUANTITY=UNIT, such as wind_speed=km/h")
        ->allow_extra_args(false)
        ->group(group);
    auto* zone = app.add_option("--zone", options.zone, "Log: zone of its clock, such as Europe/Madrid")->group(group);
    app.add_option("--utc-offset", options.utc_offset, "Log: fixed offset of its clock; default +00:00")
        ->excludes(zone)
        ->group(group);
    app.add_option("--date-order", options.date_order, "Log: of dates with slashes")
        ->check(CLI::IsMember({"day_first", "month_first"}))
        ->group(group);
    app.add_option("--interval-label", options.interval_label, "Log: what the time of a row stands for")
        ->check(CLI::IsMember({"sample", "start", "middle", "end"}))
        ->group(group);
    auto* latitude = app.add_option("--latitude", options.latitude, "Log: of the site, to check against the sun")
                         ->check(CLI::Range(-90.0, 90.0))
                         ->group(group);
    auto* longitude = app.add_option("--longitude", options.longitude, "Log: of the site, east positive")
                          ->check(CLI::Range(-180.0, 180.0))
                          ->group(group);
    latitude->needs(longitude);
    longitude->needs(latitude);
    app.add_option("--height", options.height, "Log: of the site above the sea, m")->needs(latitude)->group(group);
    auto* tilt =
        app.add_option("--sensor-tilt", options.sensor_tilt, "Log: of the irradiance sensor, deg")->group(group);
    app.add_option("--sensor-azimuth", options.sensor_azimuth, "Log: where it faces, deg from north; default 180")
        ->needs(tilt)
        ->group(group);
}

bool is_conditions_log(const fs::path& file) {
    std::error_code problem;
    if (!fs::is_regular_file(file, problem)) {
        return false;
    }
    constexpr std::size_t kLookedAt = 32768;
    constexpr std::size_t kRows = 60;
    std::string bytes(kLookedAt, '\0');
    std::ifstream stream(file, std::ios::binary);
    stream.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    bytes.resize(static_cast<std::size_t>(stream.gcount()));
    if (bytes.size() == kLookedAt) {
        // A row cut in half is no row; four bytes keep UTF-16 whole.
        const auto last = bytes.rfind('\n');
        bytes.resize(last == std::string::npos ? 0 : last / 4 * 4);
    }
    try {
        const TextTable table = parse_text_table(bytes, "");
        const auto holds_time = [](const TextRow& row) {
            return std::any_of(row.cells.begin(), row.cells.end(), looks_like_time) ||
                   (row.cells.size() > 1 && looks_like_time(row.cells[0] + " " + row.cells[1]));
        };
        const std::size_t rows = std::min(kRows, table.rows.size());
        return std::any_of(table.rows.begin(), table.rows.begin() + static_cast<std::ptrdiff_t>(rows), holds_time);
    } catch (const Error&) {
        return false;
    }
}

ExitCode inspect_log(const fs::path& file, bool json, const LogOptions& options) {
    ConditionsLog log = read_conditions_log(file, clock_of(options), reading_of(options));
    std::optional<Place> place;
    if (options.latitude && options.longitude) {
        place = Place{degrees(*options.latitude), degrees(*options.longitude), Metres(options.height.value_or(0.0))};
    }
    for (LogFinding& doubt : all_doubts(log.series, place, log.series.logger().sensor_plane)) {
        log.findings.push_back(std::move(doubt));
    }
    const auto sensor_plane = log.series.logger().sensor_plane;
    const InspectedLog inspected = against_sun(std::move(log), place, sensor_plane);
    fmt::print("{}", json ? log_as_json(inspected) : log_as_text(inspected));
    return ExitCode::done;
}

InspectedLog against_sun(ConditionsLog log,
                         const std::optional<Place>& place,
                         const std::optional<PlaneOrientation>& sensor_plane) {
    InspectedLog inspected{std::move(log), std::nullopt, {}};
    const auto& rows = inspected.log.series.rows();
    const bool in_plane = std::any_of(rows.begin(), rows.end(), [](const auto& row) { return row.poa.is_known(); });
    const bool horizontal = std::any_of(rows.begin(), rows.end(), [](const auto& row) { return row.ghi.is_known(); });
    if (!place) {
        inspected.why_no_shift = "not compared: give the site's place (--latitude, --longitude)";
    } else if (in_plane && sensor_plane) {
        inspected.shift = estimate_clock_shift(inspected.log.series, *place, {*sensor_plane, false});
    } else if (horizontal) {
        inspected.shift = estimate_clock_shift(inspected.log.series, *place, {PlaneOrientation{}, true});
    } else {
        inspected.why_no_shift = "not compared: give the sensor's plane (--sensor-tilt, --sensor-azimuth)";
    }
    if (!inspected.shift && inspected.why_no_shift.empty()) {
        inspected.why_no_shift = "not to be told: it takes 30 readings near one clear-sky curve, on both flanks of a day";
    }
    return inspected;
}

}  // namespace heatrow::cli
