#include "heatrow/io/electrical_log.hpp"

#include "support/check_error.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::message_of;

namespace {

ElectricalLog parse(const std::string& bytes, const ElectricalLogOptions& options = {}) {
    return parse_electrical_log(bytes, "amps.csv", Clock{}, options);
}

const LogFinding* find(const ElectricalLog& log, const std::string& kind) {
    const auto found =
        std::find_if(log.findings.begin(), log.findings.end(), [&](const LogFinding& f) { return f.kind == kind; });
    return found == log.findings.end() ? nullptr : &*found;
}

}  // namespace

TEST_CASE("electrical log: one row per string and time, grouped by either", "[io]") {
    const ElectricalLog log = parse(
        "time,string,current (A),voltage (V),quality\n2026-06-17 11:02,S1,7.12,612,good\n2026-06-17 "
        "11:03,S1,7.15,611,good\n"
        "2026-06-17 11:02,S2,0.02,731,good\n2026-06-17 11:03,S2,0.5,731,bad\n");
    CHECK(log.long_form);
    REQUIRE(log.strings.size() == 2);
    REQUIRE(log.strings.at("S1").size() == 2);
    CHECK(log.strings.at("S1")[1].current_a == 7.15);
    CHECK(log.strings.at("S1")[1].voltage_v == 611.0);
    CHECK(to_iso8601(log.strings.at("S1")[1].time) == "2026-06-17T11:03:00Z");
    CHECK(log.strings.at("S2").size() == 1);
    REQUIRE(find(log, "bad_quality") != nullptr);
    CHECK_THAT(find(log, "bad_quality")->text, Contains("line 5"));
    CHECK(find(log, "out_of_order") == nullptr);
    CHECK(find(log, "conflicting_rows") == nullptr);
}

TEST_CASE("electrical log: one column per string, tags mapped to strings, milliamperes", "[io]") {
    ElectricalLogOptions options;
    options.strings = {{"INV03.CB02.S07.I", "R1-S1"}, {"INV03.CB02.S07.U", "R1-S1"}};
    options.known_strings = {"R1-S1", "R1-S2"};
    const ElectricalLog log = parse(
        "time;INV03.CB02.S07.I (mA);INV03.CB02.S07.U (V);R1-S2;Ambient\n17.06.2026 11:00;7120;612,5;0,02;21\n"
        "17.06.2026 11:01;;611;-;21\n",
        options);
    CHECK_FALSE(log.long_form);
    const auto& first = log.strings.at("R1-S1");
    REQUIRE(first.size() == 2);
    CHECK(first[0].current_a == Approx(7.12));
    CHECK(first[0].voltage_v == Approx(612.5));
    CHECK(std::isnan(first[1].current_a));
    CHECK(std::isnan(log.strings.at("R1-S2")[1].current_a));
    REQUIRE(find(log, "unknown_string") != nullptr);
    CHECK_THAT(find(log, "unknown_string")->text, Contains("'Ambient'"));
}

TEST_CASE("electrical log: what names no string of the layout is refused", "[io]") {
    ElectricalLogOptions options;
    options.known_strings = {"R1-S1"};
    CHECK_THAT(message_of([&] { parse("time,A1,A2\n2026-06-17 11:00,7,8\n", options); }),
               Contains("amps.csv, line 1") && Contains("'A1'") && Contains("[electrical] strings"));
    CHECK_THAT(message_of([&] { parse("time,string,current\n2026-06-17 11:00,S9,8\n", options); }),
               Contains("amps.csv"));
    CHECK_THAT(message_of([&] { parse("time,string,amps\n2026-06-17 11:00,R1-S1,8\n", options); }),
               Contains("'current'"));
    CHECK_THAT(message_of([&] { parse("time,string,current\n2026-06-17 11:00,R1-S1,8A\n", options); }),
               Contains("line 2, field current") && Contains("'8A'"));
}

TEST_CASE("electrical log: a current that no string carries is left out and counted", "[io]") {
    const std::string log =
        "time,string,current (A)\n2026-06-17 11:00,S1,7.1\n2026-06-17 11:01,S1,-7.2\n2026-06-17 11:02,S1,7.3\n";
    const ElectricalLog read = parse(log);
    REQUIRE(read.findings.size() == 1);
    CHECK(read.findings[0].kind == "implausible_value");
    CHECK(read.findings[0].count == 1);
    CHECK_THAT(read.findings[0].text, Contains("line 3") && Contains("'-7.2'"));
    CHECK(std::isnan(read.strings.at("S1")[1].current_a));
}

TEST_CASE("electrical log: currents most of which cannot be are refused with line, field, value and remedy", "[io]") {
    const std::string log = "time;S1\n2026-06-17 11:00;7100\n2026-06-17 11:01;7120\n";
    const std::string message = message_of([&] { parse(log); });
    CHECK_THAT(
        message,
        Contains("amps.csv, line 2, field S1") && Contains("'7100'") && Contains("[electrical] columns and units"));
}
