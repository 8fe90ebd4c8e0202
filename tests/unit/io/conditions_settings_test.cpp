#include "heatrow/io/survey_settings.hpp"
#include "support/check_error.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::message_of;

namespace {

SurveySettings parse(const std::string& conditions) {
    return parse_survey_settings(
        "[survey]\nid = \"a\"\n[site]\nlayout = \"l.geojson\"\n[[camera]]\nid = \"t\"\nwidth_px = 640\nheight_px = "
        "512\n"
        "focal_px = 1125.0\n[frames]\nposes = \"p.csv\"\n[temperature]\nscale = 0.01\noffset = "
        "-273.15\n[conditions]\n" +
            conditions,
        "/s/survey.toml");
}

}  // namespace

TEST_CASE("conditions settings: every key", "[io]") {
    const ConditionsSettings conditions =
        parse(
            "log = \"c.csv\"\ncolumns = { time = \"Zeit\", poa_global = \"G (W/m2)\" }\nunits = { wind_speed = "
            "\"km/h\" }\n"
            "missing = [\"ERR\"]\ndate_order = \"month_first\"\ninterval_label = \"end\"\ninterval_s = 60\n"
            "sensor_tilt = 10\nsensor_azimuth = 90\nirradiance_u_percent = 3.5\ndistance_m = 350\nmax_gap_s = 180\n"
            "module_mass_kg_m2 = 12.5\nalbedo = 0.3\nreports = \"metar.txt\"\n")
            .conditions;
    CHECK(conditions.log == "/s/c.csv");
    CHECK(conditions.options.columns.at("time") == "Zeit");
    CHECK(conditions.options.columns.at("poa_global") == "G (W/m2)");
    CHECK(conditions.options.units.at("wind_speed") == "km/h");
    CHECK(conditions.options.missing == std::vector<std::string>{"ERR"});
    CHECK(conditions.options.date_order == DateOrder::month_first);
    CHECK(conditions.options.label == IntervalLabel::end);
    CHECK(conditions.options.interval == std::chrono::minutes(1));
    const LoggerDescription& logger = conditions.options.logger;
    REQUIRE(logger.sensor_plane);
    CHECK(in_degrees(logger.sensor_plane->tilt) == Approx(10.0));
    CHECK(in_degrees(logger.sensor_plane->azimuth) == Approx(90.0));
    CHECK(logger.irradiance_u_share == Approx(0.035));
    CHECK(logger.distance.value() == 350.0);
    CHECK(logger.maximum_gap == std::chrono::minutes(3));
    CHECK(logger.module_mass_kg_per_m2 == 12.5);
    CHECK(conditions.albedo == 0.3);
    CHECK(*conditions.reports == "/s/metar.txt");
}

TEST_CASE("conditions settings: what cannot be is refused with line and key", "[io]") {
    CHECK_THAT(message_of([] { parse("log = \"c.csv\"\ncolums = {}\n"); }), Contains("columns"));
    CHECK_THAT(message_of([] { parse("log = \"c.csv\"\ncolumns = { irradiance = \"G\" }\n"); }),
               Contains("irradiance"));
    CHECK_THAT(message_of([] { parse("log = \"c.csv\"\ninterval_label = \"left\"\n"); }), Contains("\"left\""));
    CHECK_THAT(message_of([] { parse("log = \"c.csv\"\ninterval_s = 60\n"); }), Contains("interval_label"));
    CHECK_THAT(message_of([] { parse("log = \"c.csv\"\nsensor_tilt = 10\n"); }), Contains("sensor_azimuth"));
    CHECK_THAT(message_of([] { parse("log = \"c.csv\"\ndate_order = \"dmy\"\n"); }), Contains("day_first"));
    CHECK_THAT(message_of([] { parse("log = \"c.csv\"\nalbedo = 2\n"); }), Contains("albedo"));
}
