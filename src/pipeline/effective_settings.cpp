#include "effective_settings.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>

namespace heatrow {
namespace {

class Writer {
  public:
    explicit Writer(const std::filesystem::path& folder) : folder_(folder) {}

    void text(std::string key, std::string value) { lines_.emplace_back(std::move(key), std::move(value)); }
    void number(std::string key, double value) { text(std::move(key), fmt::format("{}", value)); }
    void path(std::string key, const std::filesystem::path& value) {
        text(std::move(key), value.lexically_relative(folder_).generic_string());
    }
    std::vector<std::pair<std::string, std::string>> take() { return std::move(lines_); }

  private:
    std::filesystem::path folder_;
    std::vector<std::pair<std::string, std::string>> lines_;
};

void write_camera(Writer& out, const CameraSettings& camera) {
    const std::string key = "camera." + camera.id + ".";
    out.text(key + "kind", camera.kind == CameraSettings::Kind::thermal ? "thermal" : "visible");
    out.number(key + "width_px", camera.width_px);
    out.number(key + "height_px", camera.height_px);
    out.number(key + "native_width_px", camera.native_width_px);
    out.number(key + "focal_px", camera.focal_px);
    out.text(key + "principal_point_px", fmt::format("{}", fmt::join(camera.principal_point_px, ", ")));
    out.text(key + "distortion", fmt::format("{}", fmt::join(camera.distortion, ", ")));
    if (camera.time_constant_ms) {
        out.number(key + "time_constant_ms", *camera.time_constant_ms);
    }
    out.number(key + "noise_k", camera.noise.value());
    out.number(key + "blur_sigma_px", camera.blur_sigma_px);
    out.number(key + "f_number", camera.f_number);
    out.number(key + "pixel_um", camera.pixel_um);
    if (camera.response) {
        out.path(key + "response", *camera.response);
    } else {
        out.text(key + "band_um", fmt::format("{}, {}", camera.band.low_um, camera.band.high_um));
    }
    if (camera.refine) {
        out.text(key + "refine", "true");
    }
    if (camera.flat_field) {
        out.path(key + "flat_field", *camera.flat_field);
    }
}

void write_frames(Writer& out, const FrameSettings& frames) {
    out.text("frames.camera", frames.camera);
    out.path("frames.folder", frames.folder);
    out.text("frames.files", frames.files);
    if (frames.mosaic) {
        out.path("frames.mosaic", *frames.mosaic);
        out.text("frames.time", to_iso8601(frames.mosaic_time));
    }
    if (frames.poses) {
        out.path("frames.poses", *frames.poses);
    }
    out.text("frames.placement", frames.placement == FrameSettings::Placement::poses ? "poses" : "corner_points");
    if (frames.corner_points) {
        out.path("frames.corner_points", *frames.corner_points);
    }
    for (const KnownPixel& known : frames.known) {
        out.text("frames.known",
                 fmt::format("{} ({}, {}) {}{}",
                             known.frame,
                             known.pixel[0],
                             known.pixel[1],
                             known.module,
                             known.hold ? ", held" : ""));
    }
}

void write_control(Writer& out, const ControlSettings& control) {
    using Heights = ControlSettings::Heights;
    out.path("control.points", control.points);
    out.path("control.marks", control.marks);
    out.text("control.crs", control.crs.value_or("EPSG:4326"));
    out.text("control.heights",
             control.heights == Heights::ellipsoid ? "ellipsoid"
             : control.heights == Heights::site    ? "site"
                                                   : "none");
    out.number("control.metres_per_unit", control.metres_per_unit);
    for (const auto& [quantity, column] : control.columns) {
        out.text("control.columns." + quantity, column);
    }
    out.number("control.sd_m", control.sd_m);
    out.text("control.hold", fmt::format("{}", fmt::join(control.hold, ", ")));
}

void write_poses(Writer& out, const PoseSettings& poses) {
    using Source = PoseSettings::Source;
    out.text("frames.altitude", poses.rules.altitude == PoseRules::Altitude::site ? "site" : "ellipsoid");
    out.text("poses.source",
             poses.source == Source::table        ? "table"
             : poses.source == Source::flight_log ? "flight_log"
                                                  : "tags");
    if (poses.source == Source::flight_log) {
        out.path("poses.log", poses.flight_log);
        out.number("poses.longest_gap_s", static_cast<double>(poses.longest_gap.count()) / 1000.0);
    }
    for (const auto& [quantity, column] : poses.columns) {
        out.text("poses.columns." + quantity, column);
    }
    for (const auto& [quantity, tag] : poses.tags) {
        out.text("poses.tags." + quantity, tag.group + " " + tag.name);
    }
    out.text("poses.angles",
             poses.rules.angles == PoseRules::Angles::yaw_pitch_roll ? "yaw_pitch_roll" : "omega_phi_kappa");
    out.text("poses.crs", poses.rules.crs.value_or("WGS 84 degrees"));
    out.text("poses.add_deg", fmt::format("{}", fmt::join(poses.rules.add_deg, ", ")));
}

void write_visible_frames(Writer& out, const VisibleFrameSettings& frames) {
    out.text("visible_frames.camera", frames.camera);
    out.path("visible_frames.folder", frames.folder);
    out.text("visible_frames.files", frames.files);
    out.path("visible_frames.times", frames.times);
}

void write_temperature(Writer& out, const TemperatureSettings& temperature) {
    const TemperatureEncoding& encoding = temperature.encoding;
    out.number("temperature.scale", encoding.scale);
    out.number("temperature.offset", encoding.offset);
    out.text("temperature.unit", encoding.kelvin ? "K" : "degC");
    if (encoding.nodata) {
        out.number("temperature.nodata", *encoding.nodata);
    }
    out.number("temperature.export_emissivity", encoding.export_emissivity);
    if (encoding.export_reflected.is_known()) {
        out.number("temperature.export_reflected_c", encoding.export_reflected.value());
    }
    if (temperature.emissivity) {
        out.number("temperature.emissivity", *temperature.emissivity);
    }
    if (temperature.reflected) {
        out.number("temperature.reflected_c", temperature.reflected->value());
    }
}

void write_conditions(Writer& out, const ConditionsSettings& conditions) {
    out.path("conditions.log", conditions.log);
    const ConditionsLogOptions& options = conditions.options;
    for (const auto& [quantity, column] : options.columns) {
        out.text("conditions.columns." + quantity, column);
    }
    for (const auto& [quantity, unit] : options.units) {
        out.text("conditions.units." + quantity, unit);
    }
    if (!options.missing.empty()) {
        out.text("conditions.missing", fmt::format("{}", fmt::join(options.missing, ", ")));
    }
    if (options.date_order) {
        out.text("conditions.date_order", std::string(to_string(*options.date_order)));
    }
    if (options.label) {
        out.text("conditions.interval_label", std::string(to_string(*options.label)));
    }
    if (options.interval) {
        out.number("conditions.interval_s", static_cast<double>(options.interval->count()) / 1000.0);
    }
    const LoggerDescription& logger = options.logger;
    if (logger.sensor_plane) {
        out.number("conditions.sensor_tilt", in_degrees(logger.sensor_plane->tilt));
        out.number("conditions.sensor_azimuth", in_degrees(logger.sensor_plane->azimuth));
    }
    out.number("conditions.irradiance_u_percent", 100.0 * logger.irradiance_u_share);
    out.number("conditions.distance_m", logger.distance.value());
    if (logger.maximum_gap.count() > 0) {
        out.number("conditions.max_gap_s", static_cast<double>(logger.maximum_gap.count()) / 1000.0);
    }
    out.number("conditions.module_mass_kg_m2", logger.module_mass_kg_per_m2);
    out.number("conditions.albedo", conditions.albedo);
    if (conditions.reports) {
        out.path("conditions.reports", *conditions.reports);
    }
}

void write_electrical(Writer& out, const ElectricalSettings& electrical) {
    out.path("electrical.log", electrical.log);
    const ElectricalLogOptions& options = electrical.options;
    for (const auto& [quantity, column] : options.columns) {
        out.text("electrical.columns." + quantity, column);
    }
    for (const auto& [quantity, unit] : options.units) {
        out.text("electrical.units." + quantity, unit);
    }
    for (const auto& [tag, string] : options.strings) {
        out.text("electrical.strings." + tag, string);
    }
    if (!options.missing.empty()) {
        out.text("electrical.missing", fmt::format("{}", fmt::join(options.missing, ", ")));
    }
    out.text("electrical.good_quality", fmt::format("{}", fmt::join(options.good_quality, ", ")));
    if (options.date_order) {
        out.text("electrical.date_order", std::string(to_string(*options.date_order)));
    }
    out.number("electrical.reach_min", static_cast<double>(electrical.load.reach.count()) / 60.0);
    out.number("electrical.meter_u_percent", 100.0 * electrical.load.meter_u_share);
    out.number("electrical.meter_u_a", electrical.load.meter_u_a);
    out.number("electrical.rated_current_u_percent", 100.0 * electrical.load.rated_current_u);
}

void write_trackers(Writer& out, const TrackerSettings& trackers) {
    if (trackers.angles == TrackerSettings::Angles::sun) {
        out.text("trackers.angles", "sun");
        out.text("trackers.backtracking", trackers.backtracking ? "true" : "false");
        return;
    }
    out.text("trackers.angles", "log");
    out.path("trackers.log", trackers.log);
    for (const auto& [quantity, column] : trackers.options.columns) {
        out.text("trackers.columns." + quantity, column);
    }
    if (trackers.options.date_order) {
        out.text("trackers.date_order", std::string(to_string(*trackers.options.date_order)));
    }
    out.text("trackers.reversed", trackers.options.reversed ? "true" : "false");
    out.number("trackers.longest_gap_min", static_cast<double>(trackers.longest_gap.count()) / 60e3);
}

}  // namespace

std::vector<std::pair<std::string, std::string>> effective_settings(const SurveySettings& settings) {
    Writer out(settings.folder);
    out.text("survey.id", settings.id);
    out.text("survey.title", settings.title);
    out.text("survey.profile", settings.profile);
    out.text("output.decimal_comma", settings.decimal_comma_tables ? "true" : "false");
    out.path("site.layout", settings.site.layout);
    if (settings.site.module_types) {
        out.path("site.module_types", *settings.site.module_types);
    }
    if (settings.site.elevation) {
        out.path("site.elevation", *settings.site.elevation);
    }
    if (settings.site.origin) {
        const SiteOrigin& origin = *settings.site.origin;
        out.text("site.origin",
                 fmt::format("{}, {}, {} m", origin.longitude_deg, origin.latitude_deg, origin.height.value()));
    }
    if (std::isfinite(settings.site.specific_yield_kwh_kw)) {
        out.text("site.specific_yield_kwh_kw", fmt::format("{}", settings.site.specific_yield_kwh_kw));
    }
    for (const CameraSettings& camera : settings.cameras) {
        write_camera(out, camera);
    }
    write_frames(out, settings.frames);
    write_poses(out, settings.poses);
    if (settings.control) {
        write_control(out, *settings.control);
    }
    if (settings.visible_frames) {
        write_visible_frames(out, *settings.visible_frames);
    }
    write_temperature(out, settings.temperature);
    write_conditions(out, settings.conditions);
    if (settings.electrical) {
        write_electrical(out, *settings.electrical);
    }
    if (settings.trackers) {
        write_trackers(out, *settings.trackers);
    }
    return out.take();
}

}  // namespace heatrow
