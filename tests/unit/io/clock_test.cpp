#include "heatrow/io/clock.hpp"

#include "heatrow/sun/solar_position.hpp"
#include "support/check_error.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::message_of;

namespace {

Clock zone(const std::string& name) {
    Clock clock;
    clock.scale = Clock::Zone{name};
    return clock;
}

Clock offset(int minutes) {
    Clock clock;
    clock.scale = Clock::FixedOffset{std::chrono::minutes(minutes)};
    return clock;
}

Clock gps() {
    Clock clock;
    clock.scale = Clock::GpsTime{};
    return clock;
}

std::string utc(const Clock& clock, const std::string& text) {
    return to_iso8601(to_utc(clock, *parse_iso8601(text)));
}

}  // namespace

TEST_CASE("clock: a fixed offset is taken off", "[io]") {
    CHECK(utc(offset(120), "2026-06-17T11:02:03.250") == "2026-06-17T09:02:03.250Z");
    CHECK(utc(offset(-420), "2022-01-01T20:00:00") == "2022-01-02T03:00:00Z");
}

TEST_CASE("clock: a zone follows daylight saving", "[io]") {
    CHECK(utc(zone("Europe/Madrid"), "2026-06-17T11:00:00") == "2026-06-17T09:00:00Z");
    CHECK(utc(zone("Europe/Madrid"), "2026-12-17T11:00:00") == "2026-12-17T10:00:00Z");
    CHECK(utc(zone("Asia/Kolkata"), "2026-06-17T11:00:00") == "2026-06-17T05:30:00Z");
    CHECK(utc(zone("Etc/GMT+7"), "2026-06-17T11:00:00") == "2026-06-17T18:00:00Z");  // POSIX sign
}

TEST_CASE("clock: a written offset wins over zone and fixed offset", "[io]") {
    CHECK(utc(offset(60), "2026-06-17T11:00:00+02:00") == "2026-06-17T09:00:00Z");
    CHECK(utc(zone("Europe/Madrid"), "2026-06-17T11:00:00Z") == "2026-06-17T11:00:00Z");
    CHECK(utc(zone("Europe/Madrid"), "2026-10-25T02:30:00+02:00") == "2026-10-25T00:30:00Z");
}

TEST_CASE("clock: a local time that passes twice is an error that names both instants", "[io]") {
    const std::string message = message_of(
        [] { to_utc(zone("Europe/Madrid"), *parse_iso8601("2026-10-25T02:30:00"), "log.csv, line 7, field time"); });
    CHECK_THAT(message,
               Contains("input: ") && Contains("log.csv, line 7, field time") && Contains("2026-10-25T02:30:00") &&
                   Contains("2026-10-25T00:30:00Z or 2026-10-25T01:30:00Z") && Contains("UTC offset"));
    CHECK(utc(zone("Europe/Madrid"), "2026-10-25T01:59:59") == "2026-10-24T23:59:59Z");
    CHECK(utc(zone("Europe/Madrid"), "2026-10-25T03:00:00") == "2026-10-25T02:00:00Z");
}

TEST_CASE("clock: a local time that the zone skips is an error with the offset to declare", "[io]") {
    const std::string message =
        message_of([] { to_utc(zone("Europe/Madrid"), *parse_iso8601("2026-03-29T02:30:00"), "poses.csv, line 2"); });
    CHECK_THAT(message,
               Contains("does not exist") && Contains("from 2026-03-29T02:00:00 to 2026-03-29T03:00:00") &&
                   Contains("offset = \"+01:00\""));
    CHECK(utc(zone("Europe/Madrid"), "2026-03-29T03:00:00") == "2026-03-29T01:00:00Z");
}

TEST_CASE("clock: GPS time is ahead by the leap seconds", "[io]") {
    CHECK(utc(gps(), "2026-06-17T11:00:18") == "2026-06-17T11:00:00Z");
    CHECK(utc(gps(), "2017-01-01T00:00:18") == "2017-01-01T00:00:00Z");
    CHECK(utc(gps(), "2017-01-01T00:00:16") == "2016-12-31T23:59:59Z");
    CHECK(utc(gps(), "1999-06-01T00:00:13") == "1999-06-01T00:00:00Z");
    CHECK(utc(gps(), "1980-01-06T00:00:00") == "1980-01-06T00:00:00Z");
    CHECK_THAT(message_of([] { to_utc(gps(), *parse_iso8601("2026-06-17T11:00:00Z")); }), Contains("GPS time"));
}

TEST_CASE("clock: the shift of a device is taken off, whatever its scale", "[io]") {
    Clock fast = offset(120);
    fast.shift = std::chrono::milliseconds(2500);
    CHECK(utc(fast, "2026-06-17T11:00:02.500") == "2026-06-17T09:00:00Z");
    CHECK(utc(fast, "2026-06-17T09:00:02.500Z") == "2026-06-17T09:00:00Z");
    Clock slow = gps();
    slow.shift = std::chrono::milliseconds(-1000);
    CHECK(utc(slow, "2026-06-17T11:00:17") == "2026-06-17T11:00:00Z");
}

TEST_CASE("clock: what a clock shows leads back to the instant", "[io]") {
    Clock madrid = zone("Europe/Madrid");
    madrid.shift = std::chrono::milliseconds(1234);
    for (const Clock& clock : {madrid, offset(-210), gps()}) {
        const UtcTime time = to_utc(offset(0), *parse_iso8601("2026-06-17T11:02:03.456"));
        CHECK(to_utc(clock, {to_written(clock, time), std::nullopt}) == time);
    }
}

TEST_CASE("clock: an unknown zone is a usage error with an example", "[io]") {
    const std::string message = message_of([] { require_known_zone(zone("Europe/Madird"), "survey.toml"); });
    CHECK_THAT(message, Contains("usage: ") && Contains("Europe/Madird") && Contains("Europe/Madrid\""));
    CHECK(message_of([] { require_known_zone(zone("Europe/Madrid")); }).empty());
}

TEST_CASE("clock: it is described with its shift and where that came from", "[io]") {
    Clock clock = zone("Europe/Madrid");
    clock.shift = std::chrono::milliseconds(-12000);
    clock.shift_source = "photographed display";
    CHECK(describe(clock) == "zone Europe/Madrid, ran 12.0 s behind (photographed display)");
    CHECK(describe(offset(-210)) == "fixed offset -03:30");
    CHECK(describe(gps()) == "GPS time");
}

TEST_CASE("clock: delta T agrees with the leap seconds to a second", "[io]") {
    // TT - UT1 = 32.184 s + 19 s + (GPS - UTC) - (UT1 - UTC), the last below 0.9 s by definition of UTC
    for (int year = 1981; year <= 2026; ++year) {
        const UtcTime time = std::chrono::sys_days(std::chrono::year(year) / 3 / 1);
        const double from_leap_seconds = 32.184 + 19.0 + static_cast<double>(gps_minus_utc(time).count());
        INFO(year);
        CHECK(std::abs(delta_t(time).value() - from_leap_seconds) < 1.0);
    }
}
