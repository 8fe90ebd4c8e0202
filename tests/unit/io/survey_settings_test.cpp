#include "heatrow/io/survey_settings.hpp"

#include "support/check_error.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::message_of;

namespace {

const std::string kLeast = R"([survey]
id = "two-rows"
[site]
layout = "layout.geojson"
[[camera]]
id = "thermal"
width_px = 640
height_px = 512
focal_px = 1125.0
[frames]
poses = "poses.csv"
[temperature]
scale = 0.01
offset = -273.15
[conditions]
log = "conditions.csv"
)";

SurveySettings parse(const std::string& text) {
    return parse_survey_settings(text, "/data/survey/survey.toml");
}

std::string with(std::string text, const std::string& from, const std::string& to) {
    const auto at = text.find(from);
    REQUIRE(at != std::string::npos);
    return text.replace(at, from.size(), to);
}

std::string complaint(const std::string& text) {
    return message_of([&] { parse(text); });
}

// With other frames' and poses' settings.
SurveySettings parse_poses(const std::string& frames, const std::string& poses) {
    return parse(with(kLeast, "poses = \"poses.csv\"\n", frames + "[poses]\n" + poses));
}

std::string pose_complaint(const std::string& frames, const std::string& poses) {
    return message_of([&] { parse_poses(frames, poses); });
}

}  // namespace

TEST_CASE("survey settings: the least file gets the documented defaults") {
    const SurveySettings settings = parse(kLeast);
    CHECK(settings.id == "two-rows");
    CHECK(settings.title == "two-rows");
    CHECK(settings.profile == "field-practice");
    CHECK(settings.folder == "/data/survey");
    CHECK(settings.site.layout == "/data/survey/layout.geojson");
    CHECK_FALSE(settings.site.module_types);
    CHECK_FALSE(settings.site.origin);
    REQUIRE(settings.cameras.size() == 1);
    const CameraSettings& camera = settings.frame_camera();
    CHECK(camera.kind == CameraSettings::Kind::thermal);
    CHECK(camera.principal_point_px == std::array{319.5, 255.5});
    CHECK(camera.distortion == std::array{0.0, 0.0, 0.0, 0.0, 0.0});
    CHECK_FALSE(camera.time_constant_ms);
    CHECK(camera.noise.value() == 0.05);
    CHECK(std::holds_alternative<Clock::FixedOffset>(camera.clock.scale));
    CHECK(camera.clock.shift.count() == 0);
    CHECK(settings.frames.folder == "/data/survey/frames");
    CHECK(settings.frames.files == "*.tif");
    CHECK(settings.poses.rules.altitude == PoseRules::Altitude::site);
    CHECK(settings.frames.placement == FrameSettings::Placement::poses);
    CHECK(settings.temperature.encoding.scale == 0.01);
    CHECK_FALSE(settings.temperature.encoding.kelvin);
    CHECK_FALSE(settings.temperature.encoding.nodata);
    CHECK(settings.temperature.encoding.export_emissivity == 1.0);
    CHECK_FALSE(settings.temperature.emissivity);
    CHECK(settings.conditions.log == "/data/survey/conditions.csv");
}

TEST_CASE("survey settings: every key is taken") {
    const SurveySettings settings = parse(R"([survey]
id = "x"
title = "A title"
profile = "contract-7"
[site]
layout = "../shared/layout.gpkg"
module_types = "types"
origin = { longitude = -3.6512, latitude = 40.1234, height_m = 650.0 }
[[camera]]
id = "eye"
kind = "visible"
width_px = 4000
height_px = 3000
focal_px = 3000
[[camera]]
id = "heat"
width_px = 320
height_px = 256
focal_px = 500
principal_point_px = [160, 127.5]
distortion = [-0.2, 0.05, 0.001, -0.001, 0]
time_constant_ms = 10.0
noise_k = 0.03
f_number = 1.2
pixel_um = 17
clock = { zone = "Europe/Madrid", shift_s = -2.5 }
[frames]
camera = "heat"
folder = "."
files = "T*.tiff"
poses = "poses.csv"
altitude = "ellipsoid"
placement = "corner_points"
corner_points = "corners.csv"
[temperature]
scale = 0.04
offset = 0
unit = "K"
nodata = 0
export_emissivity = 0.95
export_reflected_c = 20
emissivity = 0.86
reflected_c = -15
[conditions]
log = "log.csv"
clock = { gps = true }
)");
    CHECK(settings.title == "A title");
    CHECK(settings.site.layout == "/data/shared/layout.gpkg");
    REQUIRE(settings.site.origin);
    CHECK(settings.site.origin->height.value() == 650.0);
    const CameraSettings& camera = settings.frame_camera();
    CHECK(camera.id == "heat");
    CHECK(camera.distortion[4] == 0.0);
    CHECK(camera.f_number == 1.2);
    CHECK(camera.pixel_um == 17.0);
    CHECK(camera.distortion[0] == -0.2);
    CHECK(std::get<Clock::Zone>(camera.clock.scale).name == "Europe/Madrid");
    CHECK(camera.clock.shift.count() == -2500);
    CHECK(settings.frames.corner_points == std::filesystem::path("/data/survey/corners.csv"));
    CHECK(settings.temperature.encoding.kelvin);
    CHECK(settings.temperature.encoding.nodata == 0.0);
    CHECK(settings.temperature.encoding.export_reflected.value() == 20.0);
    CHECK(settings.temperature.reflected->value() == -15.0);
    CHECK(std::holds_alternative<Clock::GpsTime>(settings.conditions.clock.scale));
}

TEST_CASE("survey settings: yield of the site, start of the walk, columns of the work list") {
    const SurveySettings plain = parse(kLeast);
    CHECK_FALSE(std::isfinite(plain.site.specific_yield_kwh_kw));
    CHECK_FALSE(plain.work_list.start);
    CHECK(plain.work_list.columns.empty());
    const std::string sited = with(kLeast, "[[camera]]", "specific_yield_kwh_kw = 1650\n[[camera]]");
    const SurveySettings settings = parse(sited + R"([work_list]
start = { longitude = -3.65, latitude = 40.12 }
columns = { action = "Job", task = "External ID" }
)");
    CHECK(settings.site.specific_yield_kwh_kw == 1650.0);
    CHECK(settings.work_list.start->latitude_deg == 40.12);
    CHECK(settings.work_list.columns ==
          std::vector<std::pair<std::string, std::string>>{{"task", "External ID"}, {"action", "Job"}});
    CHECK_THAT(complaint(sited + "[work_list.columns]\ntaks = \"ID\"\n"), Contains("'task'"));
    CHECK_THAT(complaint(with(kLeast, "[[camera]]", "specific_yield_kwh_kw = 9000\n[[camera]]")),
               Contains("specific_yield_kwh_kw"));
}

TEST_CASE("survey settings: visible-light frames have a camera of their own") {
    const std::string cameras = R"([[camera]]
id = "colour"
kind = "visible"
width_px = 960
height_px = 768
focal_px = 1690.0
)";
    CHECK_FALSE(parse(kLeast).visible_frames);
    const SurveySettings settings = parse(kLeast + cameras + "[visible_frames]\ntimes = \"visible.csv\"\n");
    REQUIRE(settings.visible_frames);
    CHECK(settings.visible_frames->camera == "colour");
    CHECK(settings.visible_frames->folder == "/data/survey/visible");
    CHECK(settings.visible_frames->files == "*.jpg");
    CHECK(settings.visible_frames->times == "/data/survey/visible.csv");
    CHECK(settings.frame_camera().id == "thermal");
    CHECK_THAT(complaint(kLeast + "[visible_frames]\ntimes = \"visible.csv\"\n"),
               Contains("no visible camera is described") && Contains("kind \"visible\""));
    CHECK_THAT(complaint(kLeast + cameras + "[visible_frames]\ncamera = \"thermal\"\ntimes = \"visible.csv\"\n"),
               Contains("\"thermal\" is no visible camera") && Contains("\"colour\""));
    CHECK_THAT(complaint(kLeast + cameras + "[visible_frames]\nfolder = \"rgb\"\n"), Contains("times"));
}

TEST_CASE("survey settings: an unknown key is refused with its line and the nearest known key") {
    const std::string message = complaint(with(kLeast, "focal_px", "focal_pix"));
    CHECK_THAT(message, Contains("usage: ") && Contains("survey.toml, line 9, camera.focal_pix"));
    CHECK_THAT(message, Contains("unknown key") && Contains("Did you mean 'focal_px'?"));
    CHECK_THAT(complaint(kLeast + "[electric]\n"), Contains("line 17, electric") && Contains("unknown key"));
}

TEST_CASE("survey settings: a missing camera is said so") {
    const auto from = kLeast.find("[[camera]]");
    const auto to = kLeast.find("[frames]");
    std::string text = kLeast;
    text.erase(from, to - from);
    CHECK_THAT(complaint(text), Contains("no camera is described") && Contains("[[camera]]"));
    CHECK_THAT(complaint(with(kLeast, "[[camera]]", "[camera]")), Contains("[[camera]]"));
    CHECK_THAT(complaint(with(kLeast, "[frames]", "[frames]\ncamera = \"other\"")),
               Contains("frames.camera") && Contains("\"other\"") && Contains("\"thermal\""));
}

TEST_CASE("survey settings: what is missing, of the wrong kind or out of range is named") {
    CHECK_THAT(complaint(with(kLeast, "scale = 0.01\n", "")), Contains("temperature.scale") && Contains("missing"));
    CHECK_THAT(complaint(with(kLeast, "width_px = 640", "width_px = \"640\"")),
               Contains("line 7, camera.width_px") && Contains("not a whole number"));
    CHECK_THAT(complaint(with(kLeast, "width_px = 640", "width_px = 0")), Contains("0 is out of range"));
    CHECK_THAT(complaint(with(kLeast, "focal_px = 1125.0", "focal_px = -3")), Contains("above 0"));
    CHECK_THAT(complaint(with(kLeast, "focal_px = 1125.0", "focal_px = nan")), Contains("out of range"));
    CHECK_THAT(complaint(with(kLeast, "scale = 0.01", "scale = 0")), Contains("temperature.scale"));
    CHECK_THAT(complaint(with(kLeast, "id = \"two-rows\"", "id = \"two rows/\"")), Contains("other characters"));
    CHECK_THAT(complaint(with(kLeast, "[temperature]", "[temperature]\nunit = \"C\"")), Contains("\"degC\""));
    CHECK_THAT(complaint(with(kLeast, "[temperature]", "[temperature]\nexport_emissivity = 0.9")),
               Contains("export_reflected_c"));
    CHECK_THAT(complaint(with(kLeast, "[frames]", "[frames]\nplacement = \"corner_points\"")),
               Contains("frames.corner_points"));
    CHECK_THAT(complaint(kLeast + "clock = { offset = \"+01:00\", gps = true }\n"), Contains("more than one"));
    CHECK_THAT(complaint(kLeast + "clock = { offset = \"1h\" }\n"), Contains("\"+02:00\""));
    CHECK_THAT(complaint("[survey\n"), Contains("survey.toml, line 1"));
    CHECK_THAT(message_of([] { read_survey_settings("/nowhere/survey"); }), Contains("no such file"));
}

TEST_CASE("survey settings: the camera's band, response curve and flat field") {
    const SurveySettings plain = parse(kLeast);
    CHECK(plain.frame_camera().band.low_um == 7.5);
    CHECK(plain.frame_camera().band.high_um == 14.0);
    CHECK_FALSE(plain.frame_camera().response);
    CHECK_FALSE(plain.frame_camera().flat_field);
    const auto camera = [](const std::string& line) {
        return with(kLeast, "focal_px = 1125.0", "focal_px = 1125.0\n" + line);
    };
    CHECK(parse(camera("band_um = [8.0, 13.0]")).frame_camera().band.high_um == 13.0);
    CHECK(parse(camera("response = \"curve.csv\"")).frame_camera().response == "/data/survey/curve.csv");
    CHECK(parse(camera("flat_field = \"flat.tif\"")).frame_camera().flat_field == "/data/survey/flat.tif");
    CHECK_THAT(complaint(camera("band_um = [14.0, 7.5]")),
               Contains("line 10, camera.band_um") && Contains("14 to 7.5 um is no band"));
    CHECK_THAT(complaint(camera("band_um = [8, 13]\nresponse = \"curve.csv\"")), Contains("both band_um and response"));
}

TEST_CASE("survey settings: pixels of the detector, where frames are enlarged") {
    CHECK(parse(kLeast).frame_camera().native_share() == 1.0);
    const std::string enlarged = with(kLeast, "height_px = 512", "height_px = 512\nnative_width_px = 320");
    CHECK(parse(enlarged).frame_camera().native_share() == 0.5);
    CHECK_THAT(complaint(with(enlarged, "= 320", "= 1280")), Contains("camera.native_width_px"));
}

TEST_CASE("pose settings: a flight log with its own clock and columns needs no table") {
    const SurveySettings settings = parse_poses("altitude = \"ellipsoid\"\n", R"(source = "flight_log"
log = "flight.csv"
clock = { gps = true, shift_s = 0.4 }
columns = { time = "stamp", yaw = "gimbal heading" }
longest_gap_s = 0.5
add_deg = { pitch = 90 }
)");
    CHECK_FALSE(settings.frames.poses);
    const PoseSettings& poses = settings.poses;
    CHECK(poses.source == PoseSettings::Source::flight_log);
    CHECK(poses.flight_log == "/data/survey/flight.csv");
    CHECK(std::holds_alternative<Clock::GpsTime>(poses.flight_log_clock.scale));
    CHECK(poses.columns.at("yaw") == "gimbal heading");
    CHECK(poses.longest_gap == std::chrono::milliseconds(500));
    CHECK(poses.rules.altitude == PoseRules::Altitude::ellipsoid);
    CHECK(poses.rules.add_deg == std::array{0.0, 90.0, 0.0});
}

TEST_CASE("pose settings: tags are mapped by group and name") {
    const SurveySettings settings = parse_poses(
        "", "source = \"tags\"\ntags = { yaw = { group = \"http://example.org/ns/\", name = \"HeadYaw\" } }\n");
    CHECK(settings.poses.tags.at("yaw").group == "http://example.org/ns/");
    CHECK(settings.poses.tags.at("yaw").name == "HeadYaw");
    CHECK_THAT(pose_complaint("", "source = \"tags\"\ntags = { jaw = { group = \"a\", name = \"b\" } }\n"),
               Contains("jaw") && Contains("yaw"));
    CHECK_THAT(pose_complaint("", "source = \"tags\"\ntags = { yaw = { name = \"b\" } }\n"), Contains("group"));
}

TEST_CASE("pose settings: adjusted poses name their CRS and angles") {
    const SurveySettings settings =
        parse_poses("poses = \"adjusted.csv\"\n",
                    "crs = \"EPSG:25830\"\nangles = \"omega_phi_kappa\"\ncolumns = { easting = \"X\" }\n");
    CHECK(settings.poses.rules.crs == "EPSG:25830");
    CHECK(settings.poses.rules.names()[0] == "easting");
    CHECK(settings.poses.rules.names()[5] == "kappa");
    CHECK(settings.poses.columns.at("easting") == "X");
}

TEST_CASE("pose settings: what does not go together is refused") {
    CHECK_THAT(pose_complaint("", ""), Contains("frames.poses"));
    CHECK_THAT(pose_complaint("", "source = \"flight_log\"\n"), Contains("poses.log") && Contains("missing"));
    CHECK_THAT(pose_complaint("poses = \"p.csv\"\n", "log = \"flight.csv\"\n"), Contains("poses.log"));
    CHECK_THAT(pose_complaint("poses = \"p.csv\"\n", "tags = {}\n"), Contains("poses.tags"));
    CHECK_THAT(pose_complaint("poses = \"p.csv\"\n", "angles = \"omega_phi_kappa\"\nadd_deg = { yaw = 1 }\n"),
               Contains("add_deg"));
    CHECK_THAT(pose_complaint("poses = \"p.csv\"\n", "columns = { yow = \"x\" }\n"),
               Contains("yow") && Contains("yaw"));
}

TEST_CASE("survey settings: what is stated of people, plant and instruments") {
    const SurveySettings settings = parse(with(
        with(kLeast, "[site]", "client = \"A\"\ninspector = { name = \"B\", qualification = \"level 2\" }\n[site]"),
        "focal_px = 1125.0\n",
        "focal_px = 1125.0\nmodel = \"C\"\ncalibrated = \"2026-03-04\"\n"
        "[[instrument]]\nmeasures = \"air_temperature\"\nserial = \"0042\"\n"
        "[output]\ndecimal_comma = true\n"));
    CHECK(settings.stated.client == "A");
    CHECK(settings.stated.inspector.qualification == "level 2");
    CHECK(settings.stated.analyst.name.empty());
    REQUIRE(settings.stated.instruments.size() == 2);
    CHECK(settings.stated.instruments[0].measures == "thermal frames");
    CHECK(settings.stated.instruments[0].calibrated == "2026-03-04");
    CHECK(settings.stated.instruments[1].measures == "air temperature");
    CHECK(settings.stated.instruments[1].serial == "0042");
    CHECK(settings.decimal_comma_tables);
    const auto instrument = [](const std::string& keys) { return complaint(kLeast + "[[instrument]]\n" + keys); };
    CHECK_THAT(instrument("serial = \"1\"\n"), Contains("measures"));
    CHECK_THAT(instrument("measures = \"rain\"\n"), Contains("rain") && Contains("irradiance"));
    CHECK_THAT(instrument("measures = \"wind\"\ncalibrated = \"2026-02-30\"\n"), Contains("is no date"));
    CHECK_THAT(complaint(with(kLeast, "[site]", "cliient = \"A\"\n[site]")), Contains("client"));
}

TEST_CASE("survey settings: an orthomosaic stands in for frames and poses") {
    const std::string kMosaic = "mosaic = \"plant.tif\"\ntime = \"2026-06-17T13:02:00\"\n";
    const SurveySettings settings = parse(with(with(kLeast, "poses = \"poses.csv\"\n", kMosaic),
                                               "focal_px = 1125.0\n",
                                               "focal_px = 1125.0\nclock = { offset = \"+02:00\" }\n"));
    REQUIRE(settings.frames.mosaic);
    CHECK(*settings.frames.mosaic == "/data/survey/plant.tif");
    CHECK(to_iso8601(settings.frames.mosaic_time) == "2026-06-17T11:02:00Z");
    CHECK_FALSE(settings.frames.poses);

    const auto mosaic_complaint = [&](const std::string& frames) {
        return complaint(with(kLeast, "poses = \"poses.csv\"\n", frames));
    };
    CHECK_THAT(mosaic_complaint(kMosaic + "poses = \"poses.csv\"\n"), Contains("frames.poses"));
    CHECK_THAT(mosaic_complaint("mosaic = \"plant.tif\"\n"), Contains("frames.time"));
    CHECK_THAT(mosaic_complaint("mosaic = \"plant.tif\"\ntime = \"noon\"\n"), Contains("\"noon\" is no date and time"));
    CHECK_THAT(mosaic_complaint("poses = \"poses.csv\"\ntime = \"2026-06-17T13:02:00\"\n"), Contains("mosaic"));
    CHECK_THAT(
        mosaic_complaint(kMosaic) + complaint(with(with(kLeast, "poses = \"poses.csv\"\n", kMosaic),
                                                   "[conditions]",
                                                   "[control]\npoints = \"p.csv\"\nmarks = \"m.csv\"\n[conditions]")),
        Contains("orthomosaic has no frames"));
}
