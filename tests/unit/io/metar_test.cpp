#include "heatrow/io/metar.hpp"

#include "support/check_error.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::message_of;

namespace {

UtcTime at(int year, unsigned month, unsigned day, int hour, int minute = 0) {
    const std::chrono::year_month_day date{std::chrono::year(year), std::chrono::month(month), std::chrono::day(day)};
    return std::chrono::sys_days(date) + std::chrono::hours(hour) + std::chrono::minutes(minute);
}

const UtcTime kNoon = at(2026, 6, 17, 12);

}  // namespace

TEST_CASE("weather report: wind, layers and temperature", "[io]") {
    const auto report =
        parse_metar("METAR LEMD 171130Z 24012G22KT 9999 FEW020 SCT045 BKN100 24/M03 Q1018 NOSIG", kNoon);
    REQUIRE(report);
    CHECK(report->station == "LEMD");
    CHECK(to_iso8601(report->time) == "2026-06-17T11:30:00Z");
    CHECK(report->wind->value() == Approx(12 * 1852.0 / 3600.0));
    CHECK(report->gust->value() == Approx(22 * 1852.0 / 3600.0));
    CHECK(report->air->value() == 24.0);
    CHECK(*report->okta_least == 5);
    CHECK(*report->okta_most == 7);
    CHECK_THAT(report->raw, Contains("24012G22KT"));
}

TEST_CASE("weather report: other forms", "[io]") {
    const auto clear = parse_metar("LEMD 171100Z AUTO VRB03MPS CAVOK M02/M10 Q1030=", kNoon);
    REQUIRE(clear);
    CHECK(clear->wind->value() == 3.0);
    CHECK(clear->air->value() == -2.0);
    CHECK(*clear->okta_most == 0);
    const auto fog = parse_metar("METAR LEMD 171100Z 00000KT 0200 FG VV001 10/10 Q1020", kNoon);
    CHECK(*fog->okta_least == 8);
    CHECK(fog->wind->value() == 0.0);
    const auto silent = parse_metar("METAR LEMD 171100Z /////KT 9999 ////// ///// Q////", kNoon);
    REQUIRE(silent);
    CHECK_FALSE(silent->wind);
    CHECK_FALSE(silent->okta_least);
    // A trend is a forecast, not the observation.
    const auto trend = parse_metar("METAR LEMD 171100Z 24008KT 9999 FEW045 24/09 Q1018 TEMPO BKN020", kNoon);
    CHECK(*trend->okta_most == 2);
    CHECK_FALSE(parse_metar("TAF LEMD 171100Z 1712/1818 24008KT", kNoon));
    CHECK_FALSE(parse_metar("nothing of the kind", kNoon));
}

TEST_CASE("weather report: the day falls in the nearest month", "[io]") {
    CHECK(to_iso8601(parse_metar("LEMD 302330Z 24008KT CAVOK", at(2026, 7, 1, 0, 10))->time) == "2026-06-30T23:30:00Z");
    CHECK(to_iso8601(parse_metar("LEMD 010030Z 24008KT CAVOK", at(2026, 12, 31, 23, 50))->time) ==
          "2027-01-01T00:30:00Z");
}

TEST_CASE("weather report: a file of them, with dates in front, comments and strays", "[io]") {
    const MetarFile file = parse_metar_file(
        "# from the aerodrome\n2025-03-02 11:00 METAR LEMD 021100Z 24008KT CAVOK\n202503021030 METAR LEMD 021030Z "
        "24006KT "
        "FEW040\nno report\n",
        "metar.txt",
        kNoon);
    REQUIRE(file.reports.size() == 2);
    CHECK(to_iso8601(file.reports[0].time) == "2025-03-02T10:30:00Z");
    CHECK(file.findings.at(0).kind == "not_a_report");
    CHECK_THAT(message_of([] { parse_metar_file("x\n", "metar.txt", kNoon); }), Contains("metar.txt"));
}

TEST_CASE("weather report: it fills what the log does not hold, for an hour", "[io]") {
    std::vector<ConditionsRow> rows(240);
    for (std::size_t i = 0; i < rows.size(); ++i) {
        rows[i].time = kNoon + std::chrono::minutes(i);
        rows[i].poa = WattsPerSquareMetre(800.0);
    }
    const auto reports = parse_metar_file("LEMD 171230Z 24010KT SCT040\n", "metar.txt", kNoon).reports;
    const ConditionsSeries filled = with_reports(ConditionsSeries(rows), reports);
    CHECK(std::isnan(filled.rows()[29].cloud_okta));
    CHECK(filled.rows()[30].cloud_okta == 3.5);
    CHECK(filled.rows()[90].wind.value() == Approx(5.144).margin(0.001));
    CHECK_FALSE(filled.rows()[91].wind.is_known());
    CHECK(filled.at(kNoon + std::chrono::minutes(60), ConditionsLimits{})->wind.u >= 2.0);

    rows[0].wind = MetresPerSecond(1.0);
    const ConditionsSeries kept = with_reports(ConditionsSeries(rows), reports);
    CHECK_FALSE(kept.rows()[40].wind.is_known());
    CHECK(kept.rows()[40].cloud_okta == 3.5);
}
