// survey.toml as typed settings (docs/formats/survey-toml.md). Paths are absolute; times of devices carry their clock.
#pragma once

#include "heatrow/core/time.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/io/conditions_log.hpp"
#include "heatrow/io/electrical_log.hpp"
#include "heatrow/io/tracker_log.hpp"
#include "heatrow/io/work_list_files.hpp"
#include "heatrow/io/written_pose.hpp"
#include "heatrow/radiometry/blackbody.hpp"
#include "heatrow/radiometry/encoding.hpp"
#include "heatrow/record/survey_statement.hpp"
#include "heatrow/site/layout.hpp"

#include <array>
#include <chrono>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

struct SiteSettings {
    std::filesystem::path layout;
    std::optional<std::filesystem::path> module_types;  // folder, looked in before the installed types
    std::optional<std::filesystem::path> elevation;     // raster of the ground's heights
    std::optional<SiteOrigin> origin;                   // absent: south-west corner of the layout, height 0
    double specific_yield_kwh_kw = kNaN;                // energy a year over rated power
};

struct CameraSettings {
    enum class Kind { thermal, visible };
    std::string id;
    Kind kind = Kind::thermal;
    int width_px = 0;
    int height_px = 0;
    int native_width_px = 0;  // of the detector; smaller than width_px where the camera enlarges its pictures
    double focal_px = 0.0;

    // Detector pixels per pixel of the frame, along one side: at most 1.
    [[nodiscard]] double native_share() const { return static_cast<double>(native_width_px) / width_px; }
    std::array<double, 2> principal_point_px{0.0, 0.0};         // x, y; the middle unless given
    std::array<double, 5> distortion{0.0, 0.0, 0.0, 0.0, 0.0};  // k1, k2, p1, p2, k3 (Brown-Conrady)
    std::optional<double> time_constant_ms;                     // of the detector; absent: smear is not judged
    KelvinDelta noise{0.05};                                    // noise-equivalent temperature difference
    double blur_sigma_px = 0.6;                                 // blur of optics and pixel together (Optics)
    double f_number = 1.0;                                      // of the lens
    double pixel_um = 12.0;                                     // pitch of the detector
    Band band;                                                  // flat; not used where `response` is given
    std::optional<std::filesystem::path> response;              // curve of its relative response
    std::optional<std::filesystem::path> flat_field;            // map that is subtracted from its frames
    bool refine = false;                                        // focal length and k1 are solved from the survey
    Clock clock;
};

// A pixel that shows a module ([[frames.known]]).
struct KnownPixel {
    std::string frame;  // file name
    std::string module;
    std::array<double, 2> pixel{0.0, 0.0};  // x, y
    bool hold = false;                      // not used, only compared
    std::string where;                      // file and line, for messages
};

struct FrameSettings {
    enum class Placement { poses, corner_points };
    std::string camera;  // id of one of the cameras
    std::filesystem::path folder;
    std::string files = "*.tif";                 // pattern of file names
    std::optional<std::filesystem::path> poses;  // present with PoseSettings::Source::table
    Placement placement = Placement::poses;
    std::optional<std::filesystem::path> corner_points;  // present with Placement::corner_points
    std::vector<KnownPixel> known;                       // with Placement::poses only
    std::optional<std::filesystem::path> mosaic;         // georeferenced raster in place of frames and poses
    UtcTime mosaic_time{};                               // that its temperatures stand for
};

// A tag as `heatrow inspect` lists it.
struct TagName {
    std::string group;  // "EXIF", ... or the namespace URI of an XMP tag
    std::string name;
};

// Where the poses of the frames come from, and what their numbers mean.
struct PoseSettings {
    enum class Source { table, flight_log, tags };
    Source source = Source::table;
    std::filesystem::path flight_log;  // with Source::flight_log
    Clock flight_log_clock;
    std::map<std::string, std::string> columns;   // quantity -> column of the table or log; not mapped: its own name
    std::map<std::string, TagName> tags;          // quantity -> tag, with Source::tags
    std::optional<DateOrder> date_order;          // of the flight log's dates; absent: found
    std::chrono::milliseconds longest_gap{2000};  // between rows of the flight log, to interpolate
    PoseRules rules;
};

// Surveyed points and where they are seen ([control], docs/control.md).
struct ControlSettings {
    enum class Heights { ellipsoid, site, none };
    std::filesystem::path points;                // table of name, easting, northing, height
    std::filesystem::path marks;                 // table of points in frames, and of points at corners of modules
    std::optional<std::string> crs;              // of the points, any that PROJ knows; absent: WGS 84 degrees
    Heights heights = Heights::ellipsoid;        // none: the points lie on the ground beside the modules
    double metres_per_unit = 1.0;                // of easting, northing (projected) and height
    std::map<std::string, std::string> columns;  // quantity -> column of either table; not mapped: its own name
    double sd_m = 0.05;                          // of a point, each axis, standard deviation
    std::vector<std::string> hold;               // points or frames that are only compared
};

// Partner frames in visible light, paired with the thermal ones by time.
struct VisibleFrameSettings {
    std::string camera;  // id of one of the cameras
    std::filesystem::path folder;
    std::string files = "*.jpg";  // pattern of file names
    std::filesystem::path times;  // table of frame and time
};

struct TemperatureSettings {
    TemperatureEncoding encoding;
    std::optional<double> emissivity;  // of the module front; absent: the profile's
    std::optional<Celsius> reflected;  // absent: from the air temperature and the profile
};

struct ConditionsSettings {
    std::filesystem::path log;
    Clock clock;
    ConditionsLogOptions options;                  // dialect, columns, sensor
    std::optional<std::filesystem::path> reports;  // aerodrome weather reports, for cloud and wind
    double albedo = 0.2;                           // of the ground, where irradiance is transposed
};

struct ElectricalSettings {
    std::filesystem::path log;
    Clock clock;
    ElectricalLogOptions options;  // without the strings of the layout, which this file does not know
    StringLoadOptions load;        // without the rated current, which the module type gives
};

// How the tables turn whose axes the layout holds.
struct TrackerSettings {
    enum class Angles { log, sun };
    Angles angles = Angles::log;
    std::filesystem::path log;
    Clock clock;
    TrackerLogOptions options;
    std::chrono::milliseconds longest_gap = std::chrono::minutes(15);  // between readings that are interpolated
    bool backtracking = true;                                          // computed rows do not shade each other
};

struct SurveySettings {
    std::filesystem::path file;    // the survey.toml itself
    std::filesystem::path folder;  // the folder that holds it
    std::string id;
    std::string title;
    std::string profile = "field-practice";
    SurveyStatement stated;  // of [survey], [[camera]] and [[instrument]]
    SiteSettings site;
    WorkListSettings work_list;
    std::vector<CameraSettings> cameras;
    FrameSettings frames;
    PoseSettings poses;
    std::optional<ControlSettings> control;
    std::optional<VisibleFrameSettings> visible_frames;
    TemperatureSettings temperature;
    ConditionsSettings conditions;
    std::optional<ElectricalSettings> electrical;
    bool decimal_comma_tables = false;  // findings-eu.csv and modules-eu.csv too
    std::optional<TrackerSettings> trackers;

    // The camera that took the frames.
    [[nodiscard]] const CameraSettings& frame_camera() const;
    // Throws Error(usage) for an id that no camera has.
    [[nodiscard]] const CameraSettings& camera_named(std::string_view camera_id) const;
};

// Reads the file, or `survey.toml` in the folder.
// Throws Error(usage) naming file, line, key, value and remedy: file missing, syntax, unknown key (with the nearest
// known one), required key missing, wrong type, value out of range, unknown choice, no camera.
SurveySettings read_survey_settings(const std::filesystem::path& survey_folder_or_toml);

// The same for a text; relative paths count from the folder of `file`. Reads no file.
SurveySettings parse_survey_settings(std::string_view text, const std::filesystem::path& file);

}  // namespace heatrow
