#include "heatrow/io/survey_settings.hpp"
#include "support/check_error.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::message_of;

namespace {

SurveySettings parse(const std::string& electrical) {
    return parse_survey_settings(
        "[survey]\nid = \"a\"\n[site]\nlayout = \"l.geojson\"\n[[camera]]\nid = \"t\"\nwidth_px = 640\n"
        "height_px = 512\nfocal_px = 1125.0\n[frames]\nposes = \"p.csv\"\n[temperature]\nscale = 0.01\n"
        "offset = -273.15\n[conditions]\nlog = \"c.csv\"\n" +
            electrical,
        "/s/survey.toml");
}

}  // namespace

TEST_CASE("electrical settings: a survey may have none", "[io]") {
    CHECK_FALSE(parse("").electrical);
}

TEST_CASE("electrical settings: every key", "[io]") {
    const auto settings =
        parse(
            "[electrical]\nlog = \"amps.csv\"\nclock = { zone = \"Europe/Madrid\", shift_s = 30 }\n"
            "columns = { time = \"Zeit\", string = \"Strang\", current = \"I\" }\nunits = { current = \"mA\" }\n"
            "strings = { \"INV1/MPP1\" = \"R1-S1\" }\nmissing = [\"ERR\"]\ngood_quality = [\"gut\"]\n"
            "date_order = \"day_first\"\nreach_min = 5\nmeter_u_percent = 1.5\nmeter_u_a = 0.05\n"
            "rated_current_u_percent = 4\n")
            .electrical;
    REQUIRE(settings);
    CHECK(settings->log == "/s/amps.csv");
    CHECK(std::get<Clock::Zone>(settings->clock.scale).name == "Europe/Madrid");
    CHECK(settings->clock.shift == std::chrono::seconds(30));
    CHECK(settings->options.columns.at("string") == "Strang");
    CHECK(settings->options.units.at("current") == "mA");
    CHECK(settings->options.strings.at("INV1/MPP1") == "R1-S1");
    CHECK(settings->options.missing == std::vector<std::string>{"ERR"});
    CHECK(settings->options.good_quality == std::vector<std::string>{"gut"});
    CHECK(settings->options.date_order == DateOrder::day_first);
    CHECK(settings->load.reach == std::chrono::minutes(5));
    CHECK(settings->load.meter_u_share == Approx(0.015));
    CHECK(settings->load.meter_u_a == 0.05);
    CHECK(settings->load.rated_current_u == Approx(0.04));
}

TEST_CASE("electrical settings: what cannot be is refused with line and key", "[io]") {
    const auto refusal = [](const std::string& lines) { return message_of([&] { parse("[electrical]\n" + lines); }); };
    CHECK_THAT(refusal("clock = { gps = true }\n"), Contains("electrical.log") && Contains("missing"));
    CHECK_THAT(refusal("log = \"a.csv\"\ncurent = 3\n"),
               Contains("line 19, electrical.curent") && Contains("unknown key"));
    CHECK_THAT(refusal("log = \"a.csv\"\ncolumns = { amps = \"I\" }\n"), Contains("electrical.columns.amps"));
    CHECK_THAT(refusal("log = \"a.csv\"\nstrings = \"R1\"\n"),
               Contains("electrical.strings") && Contains("not a table"));
    CHECK_THAT(refusal("log = \"a.csv\"\nstrings = { A = 1 }\n"), Contains("'A' is not given a text"));
    CHECK_THAT(refusal("log = \"a.csv\"\nreach_min = 0\n"), Contains("electrical.reach_min"));
    CHECK_THAT(refusal("log = \"a.csv\"\ndate_order = \"dmy\"\n"), Contains("day_first"));
}
