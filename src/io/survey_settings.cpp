#include "heatrow/io/survey_settings.hpp"

#include "conditions_settings.hpp"
#include "control_settings.hpp"
#include "electrical_settings.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/io/clock.hpp"
#include "pose_settings.hpp"
#include "statement_settings.hpp"
#include "toml_section.hpp"
#include "tracker_settings.hpp"
#include "work_list_settings.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

namespace heatrow {
namespace {

using detail::kNotNegative;
using detail::kPositive;
using detail::Range;
using detail::TomlDocument;
using detail::TomlSection;

constexpr std::string_view kFailed = "cannot read the survey settings";
constexpr int kLargestSidePx = 65535;  // beyond any detector; keeps pixel counts far inside an int

bool is_plain_id(std::string_view id) {
    return std::all_of(id.begin(), id.end(), [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_' ||
               c == '.';
    });
}

std::filesystem::path path_in(const std::filesystem::path& folder, const std::string& relative) {
    return (folder / relative).lexically_normal();
}

// "+02:00", "-03:30".
std::optional<std::chrono::minutes> parse_offset(std::string_view text) {
    if (text.size() != 6 || (text[0] != '+' && text[0] != '-') || text[3] != ':') {
        return std::nullopt;
    }
    int hours = 0;
    int minutes = 0;
    const auto whole = [](std::string_view digits, int& value) {
        const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
        return error == std::errc{} && end == digits.data() + digits.size() && digits[0] != '-';
    };
    if (!whole(text.substr(1, 2), hours) || !whole(text.substr(4, 2), minutes) || hours > 14 || minutes > 59) {
        return std::nullopt;
    }
    const auto offset = std::chrono::hours(hours) + std::chrono::minutes(minutes);
    return text[0] == '-' ? -offset : offset;
}

Clock read_clock(const TomlSection& owner) {
    Clock clock;
    const auto section = owner.optional_section("clock", {"offset", "zone", "gps", "shift_s"});
    if (!section) {
        return clock;
    }
    const auto offset = section->optional_text("offset");
    const auto zone = section->optional_text("zone");
    const auto gps = section->optional_boolean("gps");
    if (int{offset.has_value()} + int{zone.has_value()} + int{gps.has_value()} > 1) {
        section->fail("", "more than one of offset, zone and gps", "Keep the one by which the device was set");
    }
    if (offset) {
        const auto minutes = parse_offset(*offset);
        if (!minutes) {
            section->fail("offset", fmt::format("\"{}\" is no offset from UTC", *offset), "Write it as \"+02:00\"");
        }
        clock.scale = Clock::FixedOffset{*minutes};
    } else if (zone) {
        clock.scale = Clock::Zone{*zone};
    } else if (gps && *gps) {
        clock.scale = Clock::GpsTime{};
    }
    constexpr double kTenYears_s = 3.2e8;  // a device set to a wrong year can still be told right
    const double shift_s = section->optional_number("shift_s", {-kTenYears_s, kTenYears_s}).value_or(0.0);
    clock.shift = std::chrono::milliseconds(std::llround(shift_s * 1000.0));
    return clock;
}

SiteSettings read_site(const TomlSection& root, const std::filesystem::path& folder) {
    const TomlSection section =
        root.section("site", {"layout", "module_types", "elevation", "origin", "specific_yield_kwh_kw"});
    SiteSettings site;
    site.layout = path_in(folder, section.text("layout"));
    if (const auto types = section.optional_text("module_types")) {
        site.module_types = path_in(folder, *types);
    }
    if (const auto elevation = section.optional_text("elevation")) {
        site.elevation = path_in(folder, *elevation);
    }
    if (const auto origin = section.optional_section("origin", {"longitude", "latitude", "height_m"})) {
        site.origin = SiteOrigin{origin->number("longitude", {-180.0, 180.0}),
                                 origin->number("latitude", {-90.0, 90.0}),
                                 Metres(origin->optional_number("height_m").value_or(0.0))};
    }
    // A plant yields at most the hours of a year at rated power.
    site.specific_yield_kwh_kw = section.optional_number("specific_yield_kwh_kw", {1.0, 8784.0}).value_or(kNaN);
    return site;
}

// Band limits or a response curve, not both.
void read_response(const TomlSection& section, const std::filesystem::path& folder, CameraSettings& camera) {
    const auto limits = section.optional_numbers("band_um", 2);
    const auto response = section.optional_text("response");
    if (limits && response) {
        section.fail("band_um", "both band_um and response are given", "Keep the one that the camera's maker states");
    }
    if (limits) {
        camera.band = {limits->front(), limits->back()};
        if (!(camera.band.low_um > 0.0 && camera.band.high_um > camera.band.low_um)) {
            section.fail("band_um",
                         fmt::format("{:g} to {:g} um is no band", camera.band.low_um, camera.band.high_um),
                         "Give the lower limit first, both in micrometres, e.g. [7.5, 14.0]");
        }
    }
    if (response) {
        camera.response = path_in(folder, *response);
    }
}

CameraSettings read_camera(const TomlSection& section, const std::filesystem::path& folder) {
    CameraSettings camera;
    camera.id = section.text("id");
    camera.kind = section.choice<CameraSettings::Kind, 2>(
        "kind", {{{"thermal", CameraSettings::Kind::thermal}, {"visible", CameraSettings::Kind::visible}}});
    camera.width_px = section.integer("width_px", 1, kLargestSidePx);
    camera.height_px = section.integer("height_px", 1, kLargestSidePx);
    camera.native_width_px =
        section.has("native_width_px") ? section.integer("native_width_px", 1, camera.width_px) : camera.width_px;
    camera.focal_px = section.number("focal_px", kPositive);
    camera.principal_point_px = {0.5 * (camera.width_px - 1), 0.5 * (camera.height_px - 1)};
    if (const auto point = section.optional_numbers("principal_point_px", 2)) {
        std::copy(point->begin(), point->end(), camera.principal_point_px.begin());
    }
    if (const auto distortion = section.optional_numbers("distortion", 5)) {
        std::copy(distortion->begin(), distortion->end(), camera.distortion.begin());
    }
    camera.time_constant_ms = section.optional_number("time_constant_ms", kPositive);
    camera.noise = KelvinDelta(section.optional_number("noise_k", kPositive).value_or(camera.noise.value()));
    camera.blur_sigma_px = section.optional_number("blur_sigma_px", kNotNegative).value_or(camera.blur_sigma_px);
    camera.f_number = section.optional_number("f_number", kPositive).value_or(camera.f_number);
    camera.pixel_um = section.optional_number("pixel_um", kPositive).value_or(camera.pixel_um);
    read_response(section, folder, camera);
    if (const auto map = section.optional_text("flat_field")) {
        camera.flat_field = path_in(folder, *map);
    }
    camera.refine = section.optional_boolean("refine").value_or(false);
    camera.clock = read_clock(section);
    return camera;
}

std::vector<CameraSettings> read_cameras(const TomlSection& root,
                                         const std::filesystem::path& folder,
                                         std::vector<InstrumentStatement>& stated) {
    std::vector<std::string_view> keys = {"id",
                                          "kind",
                                          "width_px",
                                          "height_px",
                                          "native_width_px",
                                          "focal_px",
                                          "principal_point_px",
                                          "distortion",
                                          "time_constant_ms",
                                          "noise_k",
                                          "blur_sigma_px",
                                          "f_number",
                                          "pixel_um",
                                          "band_um",
                                          "response",
                                          "flat_field",
                                          "refine",
                                          "clock"};
    const auto described_by = instrument_keys();
    keys.insert(keys.end(), described_by.begin(), described_by.end());
    std::vector<CameraSettings> cameras;
    for (const TomlSection& section : root.sections("camera", keys)) {
        CameraSettings camera = read_camera(section, folder);
        for (const CameraSettings& earlier : cameras) {
            if (earlier.id == camera.id) {
                section.fail("id", fmt::format("\"{}\" names two cameras", camera.id), "Give each camera its own id");
            }
        }
        stated.push_back(read_instrument(
            section, camera.kind == CameraSettings::Kind::thermal ? "thermal frames" : "visible frames"));
        cameras.push_back(std::move(camera));
    }
    if (cameras.empty()) {
        root.fail("camera",
                  "no camera is described",
                  "Add a [[camera]] table with id, width_px, height_px and focal_px (docs/formats/survey-toml.md)");
    }
    return cameras;
}

// The camera that a section names, or the only one of its kind.
std::string choose_camera(const TomlSection& frames,
                          const std::vector<CameraSettings>& cameras,
                          CameraSettings::Kind kind,
                          std::string_view kind_name) {
    std::vector<std::string> fitting;
    for (const CameraSettings& camera : cameras) {
        if (camera.kind == kind) {
            fitting.push_back(camera.id);
        }
    }
    if (const auto chosen = frames.optional_text("camera")) {
        if (std::find(fitting.begin(), fitting.end(), *chosen) == fitting.end()) {
            frames.fail("camera",
                        fmt::format("\"{}\" is no {} camera of this file", *chosen, kind_name),
                        fitting.empty() ? "Add a [[camera]] table for it"
                                        : fmt::format("Choose one of \"{}\"", fmt::join(fitting, "\", \"")));
        }
        return *chosen;
    }
    if (fitting.size() != 1) {
        frames.fail("camera",
                    fitting.empty() ? fmt::format("no {} camera is described", kind_name)
                                    : fmt::format("there are several {} cameras", kind_name),
                    fitting.empty() ? fmt::format("Add a [[camera]] table of kind \"{}\"", kind_name)
                                    : fmt::format("Choose one of \"{}\"", fmt::join(fitting, "\", \"")));
    }
    return fitting.front();
}

std::vector<KnownPixel> read_known(const TomlSection& frames, const CameraSettings& camera) {
    std::vector<KnownPixel> known;
    for (const TomlSection& section : frames.sections("known", {"frame", "module", "pixel", "hold"})) {
        KnownPixel one;
        one.frame = section.text("frame");
        one.module = section.text("module");
        const auto pixel = section.optional_numbers("pixel", 2);
        if (!pixel) {
            section.fail("pixel", "missing, and it has no default", "Add pixel = [x, y], column and row in the frame");
        }
        one.pixel = {pixel->front(), pixel->back()};
        if (!is_in_picture(camera, one.pixel[0], one.pixel[1])) {
            section.fail("pixel",
                         fmt::format("[{:g}, {:g}] lies outside the picture", one.pixel[0], one.pixel[1]),
                         fmt::format("Give column and row, from [0, 0] at the top left to [{}, {}]",
                                     camera.width_px - 1,
                                     camera.height_px - 1));
        }
        one.hold = section.optional_boolean("hold").value_or(false);
        one.where = section.where("");
        known.push_back(std::move(one));
    }
    return known;
}

// Of an orthomosaic; what belongs to frames is refused.
UtcTime read_mosaic_time(const TomlSection& section, const Clock& camera_clock) {
    for (const std::string_view key : {"folder", "files", "poses", "altitude", "placement", "corner_points", "known"}) {
        if (section.has(key)) {
            section.fail(key, "given, but a mosaic stands in for frames and poses", "Leave it out, or the mosaic");
        }
    }
    const std::string written = section.text("time");
    const auto time = parse_iso8601(written);
    if (!time) {
        section.fail("time",
                     fmt::format("\"{}\" is no date and time", written),
                     "Give the middle of the flight, e.g. \"2026-06-17T11:02:00Z\"");
    }
    return to_utc(camera_clock, *time, section.where("time"));
}

FrameSettings read_frames(const TomlSection& root,
                          const std::filesystem::path& folder,
                          const std::vector<CameraSettings>& cameras,
                          PoseSettings& poses) {
    const TomlSection section = root.section(
        "frames",
        {"camera", "folder", "files", "poses", "altitude", "placement", "corner_points", "known", "mosaic", "time"});
    FrameSettings frames;
    frames.camera = choose_camera(section, cameras, CameraSettings::Kind::thermal, "thermal");
    if (const auto mosaic = section.optional_text("mosaic")) {
        frames.mosaic = path_in(folder, *mosaic);
        frames.folder = frames.mosaic->parent_path();
        frames.files = frames.mosaic->filename().string();
        const auto taken_with = std::find_if(
            cameras.begin(), cameras.end(), [&](const CameraSettings& one) { return one.id == frames.camera; });
        frames.mosaic_time = read_mosaic_time(section, taken_with->clock);
        return frames;
    }
    if (section.has("time")) {
        section.fail("time", "given, but frames have times of their own", "Leave it out; it belongs to a mosaic");
    }
    frames.folder = path_in(folder, section.optional_text("folder").value_or("frames"));
    frames.files = section.optional_text("files").value_or(frames.files);
    if (poses.source == PoseSettings::Source::table) {
        frames.poses = path_in(folder, section.text("poses"));
    } else if (const auto table = section.optional_text("poses")) {
        frames.poses = path_in(folder, *table);
    }
    poses.rules.altitude = section.choice<PoseRules::Altitude, 2>(
        "altitude", {{{"site", PoseRules::Altitude::site}, {"ellipsoid", PoseRules::Altitude::ellipsoid}}});
    frames.placement = section.choice<FrameSettings::Placement, 2>(
        "placement",
        {{{"poses", FrameSettings::Placement::poses}, {"corner_points", FrameSettings::Placement::corner_points}}});
    if (const auto corners = section.optional_text("corner_points")) {
        frames.corner_points = path_in(folder, *corners);
    }
    if (frames.placement == FrameSettings::Placement::corner_points && !frames.corner_points) {
        section.fail("corner_points",
                     "missing, and placement = \"corner_points\" needs it",
                     "Name the table of corner points (docs/formats/poses-csv.md)");
    }
    const auto camera = std::find_if(
        cameras.begin(), cameras.end(), [&](const CameraSettings& one) { return one.id == frames.camera; });
    frames.known = read_known(section, *camera);
    if (!frames.known.empty() && frames.placement == FrameSettings::Placement::corner_points) {
        section.fail("known", "given, but corner points place the frames", "Leave it out");
    }
    return frames;
}

VisibleFrameSettings read_visible_frames(const TomlSection& section,
                                         const std::filesystem::path& folder,
                                         const std::vector<CameraSettings>& cameras) {
    VisibleFrameSettings frames;
    frames.camera = choose_camera(section, cameras, CameraSettings::Kind::visible, "visible");
    frames.folder = path_in(folder, section.optional_text("folder").value_or("visible"));
    frames.files = section.optional_text("files").value_or(frames.files);
    frames.times = path_in(folder, section.text("times"));
    return frames;
}

TemperatureSettings read_temperature(const TomlSection& root) {
    const TomlSection section = root.section(
        "temperature",
        {"scale", "offset", "unit", "nodata", "export_emissivity", "export_reflected_c", "emissivity", "reflected_c"});
    constexpr Range kEmissivity{0.0, 1.0, true};
    constexpr Range kTemperature_c{-kZeroCelsiusInKelvin, HUGE_VAL, true};
    const auto celsius = [&](std::string_view key) {
        const auto value = section.optional_number(key, kTemperature_c);
        return value ? std::optional(Celsius(*value)) : std::nullopt;
    };
    TemperatureSettings temperature;
    TemperatureEncoding& encoding = temperature.encoding;
    encoding.scale = section.number("scale");
    if (encoding.scale == 0.0) {
        section.fail("scale", "0 would give every count the same temperature", "Give the kelvin that one count means");
    }
    encoding.offset = section.number("offset");
    encoding.kelvin = section.choice<bool, 2>("unit", {{{"degC", false}, {"K", true}}});
    encoding.nodata = section.optional_number("nodata");
    encoding.export_emissivity = section.optional_number("export_emissivity", kEmissivity).value_or(1.0);
    encoding.export_reflected = celsius("export_reflected_c").value_or(Celsius(kNaN));
    if (encoding.export_emissivity < 1.0 && !encoding.export_reflected.is_known()) {
        section.fail("export_reflected_c",
                     "missing, and export_emissivity below 1 needs it",
                     "Give the reflected temperature that was set when the frames were exported");
    }
    temperature.emissivity = section.optional_number("emissivity", kEmissivity);
    temperature.reflected = celsius("reflected_c");
    return temperature;
}

}  // namespace

const CameraSettings& SurveySettings::frame_camera() const {
    return camera_named(frames.camera);
}

const CameraSettings& SurveySettings::camera_named(std::string_view camera_id) const {
    for (const CameraSettings& camera : cameras) {
        if (camera.id == camera_id) {
            return camera;
        }
    }
    throw Error(
        ErrorKind::usage, kFailed, file.string(), fmt::format("no camera '{}'", camera_id), "Add a [[camera]] table");
}

SurveySettings parse_survey_settings(std::string_view text, const std::filesystem::path& file) {
    const TomlDocument document(text, file, std::string(kFailed));
    const TomlSection root = document.root({"survey",
                                            "site",
                                            "camera",
                                            "instrument",
                                            "frames",
                                            "visible_frames",
                                            "poses",
                                            "control",
                                            "temperature",
                                            "conditions",
                                            "electrical",
                                            "output",
                                            "trackers",
                                            "work_list"});
    SurveySettings settings;
    settings.file = file;
    settings.folder = file.parent_path();

    const TomlSection survey = root.section("survey", survey_keys());
    settings.id = survey.text("id");
    if (!is_plain_id(settings.id)) {
        survey.fail(
            "id", fmt::format("\"{}\" has other characters", settings.id), "Use letters, digits, '-', '_', '.'");
    }
    settings.title = survey.optional_text("title").value_or(settings.id);
    settings.profile = survey.optional_text("profile").value_or(settings.profile);
    settings.work_list = read_work_list_settings(root);
    settings.stated = read_survey_statement(survey);
    settings.site = read_site(root, settings.folder);
    settings.cameras = read_cameras(root, settings.folder, settings.stated.instruments);
    for (InstrumentStatement& instrument : read_instruments(root)) {
        settings.stated.instruments.push_back(std::move(instrument));
    }
    if (const auto poses = root.optional_section("poses", pose_keys())) {
        settings.poses = read_pose_settings(*poses, settings.folder);
        settings.poses.flight_log_clock = read_clock(*poses);
    }
    settings.frames = read_frames(root, settings.folder, settings.cameras, settings.poses);
    if (const auto control = root.optional_section("control", control_keys())) {
        settings.control = read_control_settings(*control, settings.folder);
        if (settings.frames.placement == FrameSettings::Placement::corner_points) {
            control->fail("", "given, but corner points place the frames", "Leave it out");
        }
        if (settings.frames.mosaic) {
            control->fail("", "given, but an orthomosaic has no frames to mark points in", "Leave it out");
        }
    }
    if (const auto visible = root.optional_section("visible_frames", {"camera", "folder", "files", "times"})) {
        settings.visible_frames = read_visible_frames(*visible, settings.folder, settings.cameras);
    }
    settings.temperature = read_temperature(root);

    const TomlSection conditions = root.section("conditions", conditions_keys());
    settings.conditions = read_conditions_settings(conditions, settings.folder);
    settings.conditions.clock = read_clock(conditions);
    if (const auto electrical = root.optional_section("electrical", electrical_keys())) {
        settings.electrical = read_electrical_settings(*electrical, settings.folder);
        settings.electrical->clock = read_clock(*electrical);
    }
    if (const auto output = root.optional_section("output", {"decimal_comma"})) {
        settings.decimal_comma_tables = output->optional_boolean("decimal_comma").value_or(false);
    }
    if (const auto trackers = root.optional_section("trackers", tracker_keys())) {
        settings.trackers = read_tracker_settings(*trackers, settings.folder);
        settings.trackers->clock = read_clock(*trackers);
    }
    return settings;
}

SurveySettings read_survey_settings(const std::filesystem::path& survey_folder_or_toml) {
    std::filesystem::path file = std::filesystem::absolute(survey_folder_or_toml).lexically_normal();
    if (std::filesystem::is_directory(file)) {
        file = (file / "survey.toml").lexically_normal();
    }
    const std::string text = detail::read_text_file(file, kFailed, "Give a survey folder or its survey.toml");
    return parse_survey_settings(text, file);
}

}  // namespace heatrow
