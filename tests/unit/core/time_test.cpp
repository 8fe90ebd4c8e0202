#include "heatrow/core/time.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;
using namespace std::chrono_literals;

namespace {

UtcTime utc(int year, unsigned month, unsigned day, std::chrono::milliseconds time_of_day) {
    return std::chrono::sys_days(std::chrono::year(year) / std::chrono::month(month) / std::chrono::day(day)) +
           time_of_day;
}

}  // namespace

TEST_CASE("time: ISO 8601 out, milliseconds only where there are some", "[core]") {
    CHECK(to_iso8601(utc(2026, 6, 17, 11h + 2min + 3s)) == "2026-06-17T11:02:03Z");
    CHECK(to_iso8601(utc(2026, 6, 17, 11h + 2min + 3s + 45ms)) == "2026-06-17T11:02:03.045Z");
    CHECK(to_iso8601(utc(1969, 12, 31, 23h + 59min + 59s)) == "1969-12-31T23:59:59Z");
}

TEST_CASE("time: ISO 8601 in, with and without an offset", "[core]") {
    const auto plain = parse_iso8601("2026-06-17T11:02:03.25");
    REQUIRE(plain.has_value());
    CHECK_FALSE(plain->utc_offset.has_value());
    CHECK(plain->written.time_since_epoch() == utc(2026, 6, 17, 11h + 2min + 3s + 250ms).time_since_epoch());
    CHECK(parse_iso8601("2026-06-17 11:02")->written.time_since_epoch() ==
          utc(2026, 6, 17, 11h + 2min).time_since_epoch());
    CHECK(parse_iso8601("2026-06-17T11:02:03Z")->utc_offset == 0min);
    CHECK(parse_iso8601("2026-06-17T11:02:03-07:00")->utc_offset == -420min);
    CHECK(parse_iso8601("2026-06-17T11:02:03+0530")->utc_offset == 330min);
    CHECK(parse_iso8601("2024-02-29T00:00:00").has_value());
}

TEST_CASE("time: impossible or malformed texts are refused", "[core]") {
    for (const char* text : {"",
                             "2026-06-17",
                             "17.06.2026 11:02",
                             "2026-13-01T00:00:00",
                             "2026-02-29T00:00:00",
                             "2026-06-17T24:00:00",
                             "2026-06-17T11:60:00",
                             "2026-06-17T11:02:60",
                             "2026-06-17T11:02:03x",
                             "2026-06-17T11:02:03.",
                             "2026-06-17T11:02:03+15:00",
                             "2026-6-17T11:02:03",
                             "-026-06-17T11:02:03"}) {
        CAPTURE(text);
        CHECK_FALSE(parse_iso8601(text).has_value());
    }
}
