#include "heatrow/io/tracker_log.hpp"

#include "heatrow/io/survey_settings.hpp"
#include "support/check_error.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::message_of;

namespace {

TrackerLog parse(const std::string& bytes, const TrackerLogOptions& options = {}) {
    return parse_tracker_log(bytes, "trackers.csv", Clock{}, options);
}

UtcTime at(int minute, int second = 0) {
    return std::chrono::sys_days(std::chrono::year(2026) / 6 / 17) + std::chrono::hours(8) +
           std::chrono::minutes(minute) + std::chrono::seconds(second);
}

SurveySettings settings(const std::string& trackers) {
    return parse_survey_settings(
        "[survey]\nid = \"a\"\n[site]\nlayout = \"l.geojson\"\n[[camera]]\nid = \"t\"\nwidth_px = 640\nheight_px = "
        "512\n"
        "focal_px = 1000.0\n[frames]\ncamera = \"t\"\nfolder = \"f\"\nposes = \"p.csv\"\naltitude = \"site\"\n"
        "[temperature]\nscale = 0.01\noffset = 0.0\nunit = \"K\"\n[conditions]\nlog = \"c.csv\"\n[trackers]\n" +
            trackers,
        "/survey/survey.toml");
}

}  // namespace

TEST_CASE("tracker log: rows by tracker, in order, between them straight", "[io]") {
    const TrackerLog log = parse(
        "time,tracker,angle\n2026-06-17T08:02:00Z,R2,-30\n2026-06-17T08:00:00Z,R1,-40.0\n"
        "2026-06-17T08:02:00Z,R1,-39.0\n2026-06-17T08:30:00Z,R1,-33\n2026-06-17T08:31:00Z,R1,\n");
    REQUIRE(log.trackers.size() == 2);
    const auto& readings = log.trackers.at("R1");
    REQUIRE(readings.size() == 3);
    const auto angle = [&](UtcTime time) { return in_degrees(*rotation_at(readings, time, std::chrono::minutes(15))); };
    CHECK(angle(at(0)) == Approx(-40.0));
    CHECK(angle(at(0, 30)) == Approx(-39.75));
    CHECK(angle(at(2)) == Approx(-39.0));
    CHECK(angle(at(40)) == Approx(-33.0));
    // in a gap of 28 minutes, and 16 minutes after the end
    CHECK_FALSE(rotation_at(readings, at(10), std::chrono::minutes(15)));
    CHECK_FALSE(rotation_at(readings, at(46), std::chrono::minutes(15)));
    CHECK(rotation_at(readings, at(10), std::chrono::minutes(30)));
    CHECK_FALSE(rotation_at({}, at(0), std::chrono::minutes(15)));
}

TEST_CASE("tracker log: one angle for all, other heads, the other sign", "[io]") {
    TrackerLogOptions options;
    options.columns = {{"angle", "Pos (deg)"}};
    options.reversed = true;
    const TrackerLog log = parse("time;Pos (deg)\n17.06.2026 08:00;12,5\n", options);
    REQUIRE(log.trackers.size() == 1);
    CHECK(in_degrees(log.trackers.at("").front().rotation) == Approx(-12.5));
}

TEST_CASE("tracker log: what cannot be an angle is refused with its line", "[io]") {
    CHECK_THAT(message_of([] { parse("time,angle\n2026-06-17T08:00:00Z,120\n"); }),
               Contains("line 2") && Contains("120"));
    CHECK_THAT(message_of([] { parse("time,angle\n2026-06-17T08:00:00Z,west\n"); }), Contains("west"));
    CHECK_THAT(message_of([] { parse("time,tilt\n2026-06-17T08:00:00Z,12\n"); }),
               Contains("'angle'") && Contains("[trackers] columns"));
    CHECK_THAT(message_of([] { parse("time,angle\n2026-06-17T08:00:00Z,\n"); }), Contains("no angle"));
}

TEST_CASE("trackers of survey.toml: a log or the sun, and what belongs to the other is refused", "[io]") {
    const SurveySettings logged = settings("log = \"t.csv\"\nlongest_gap_min = 5\nclock = { offset = \"+02:00\" }\n");
    REQUIRE(logged.trackers);
    CHECK(logged.trackers->angles == TrackerSettings::Angles::log);
    CHECK(logged.trackers->longest_gap == std::chrono::minutes(5));
    CHECK(logged.trackers->log == "/survey/t.csv");
    const SurveySettings computed = settings("angles = \"sun\"\nbacktracking = false\n");
    CHECK_FALSE(computed.trackers->backtracking);
    CHECK_THAT(message_of([] { settings("angles = \"sun\"\nlog = \"t.csv\"\n"); }),
               Contains("trackers.log") && Contains("reads no log"));
    CHECK_THAT(message_of([] { settings("log = \"t.csv\"\nbacktracking = true\n"); }),
               Contains("trackers.backtracking"));
    CHECK_THAT(message_of([] { settings("angle = \"sun\"\n"); }), Contains("angles"));
    CHECK_THAT(message_of([] { settings("\n"); }), Contains("trackers.log"));
}
