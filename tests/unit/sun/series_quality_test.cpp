#include "heatrow/sun/series_quality.hpp"

#include "heatrow/sun/clock_shift.hpp"
#include "heatrow/sun/module_temperature.hpp"
#include "made_series.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::after;
using heatrow::testing::made_rows;

namespace {

const Place kPlace{degrees(40.1), degrees(-3.65), Metres(650.0)};
const PlaneOrientation kPlane{degrees(30.0), degrees(180.0)};

const LogFinding* find(const std::vector<LogFinding>& findings, const std::string& kind) {
    const auto found =
        std::find_if(findings.begin(), findings.end(), [&](const LogFinding& f) { return f.kind == kind; });
    return found == findings.end() ? nullptr : &*found;
}

double moving(double s) {
    return 800.0 + 3.0 * std::sin(s);
}

// A whole day of clear sky, 5 min rows.
std::vector<ConditionsRow> clear_day() {
    std::vector<ConditionsRow> rows;
    for (int i = 0; i < 288; ++i) {
        ConditionsRow row;
        row.time = after(-36000.0 + i * 300.0);
        row.poa = clear_sky_on_plane(row.time, kPlace, kPlane, 0.2);
        rows.push_back(row);
    }
    return rows;
}

}  // namespace

TEST_CASE("quality: a good log raises no doubt", "[sun]") {
    auto rows = made_rows(601, 6.0, moving);
    for (std::size_t i = 0; i < rows.size(); ++i) {
        rows[i].wind = MetresPerSecond(2.0 + 0.01 * static_cast<double>(i % 7));
    }
    CHECK(find_row_doubts(ConditionsSeries(rows)).empty());
    CHECK(find_sky_doubts(ConditionsSeries(clear_day()), kPlace, kPlane).empty());
}

TEST_CASE("quality: gaps are counted and the longest is named", "[sun]") {
    auto rows = made_rows(601, 6.0, moving);
    rows.erase(rows.begin() + 300, rows.begin() + 350);
    rows.erase(rows.begin() + 100, rows.begin() + 110);
    const auto findings = find_row_doubts(ConditionsSeries(rows));
    const LogFinding* gap = find(findings, "gap");
    REQUIRE(gap != nullptr);
    CHECK(gap->count == 2);
    CHECK_THAT(gap->text, Contains("5 min from 2026-06-17T10:29:54Z"));
}

TEST_CASE("quality: an irradiance that does not move is stuck, a night of zeros is not", "[sun]") {
    const auto stuck = [](double s) { return s > 600.0 && s < 2400.0 ? 801.5 : moving(s); };
    const auto findings = find_row_doubts(ConditionsSeries(made_rows(601, 6.0, stuck)));
    const LogFinding* finding = find(findings, "stuck");
    REQUIRE(finding != nullptr);
    CHECK_THAT(finding->text, Contains("poa_global") && Contains("801.50"));
    const auto night = find_row_doubts(ConditionsSeries(made_rows(601, 6.0, [](double) { return 0.0; })));
    CHECK(find(night, "stuck") == nullptr);
}

TEST_CASE("quality: rows more than a minute apart are told", "[sun]") {
    CHECK(find(find_row_doubts(ConditionsSeries(made_rows(20, 300.0, moving))), "slow_rows") != nullptr);
}

TEST_CASE("quality: an offset at night, a bright night and a sky too bright", "[sun]") {
    auto offset = clear_day();
    for (ConditionsRow& row : offset) {
        row.poa += WattsPerSquareMetre(15.0);
    }
    CHECK(find(find_sky_doubts(ConditionsSeries(offset), kPlace, kPlane), "night_offset") != nullptr);

    auto bright = clear_day();
    for (ConditionsRow& row : bright) {
        row.poa = row.poa * 1.5;
    }
    CHECK(find(find_sky_doubts(ConditionsSeries(bright), kPlace, kPlane), "above_clear_sky") != nullptr);

    auto hours_off = clear_day();
    for (ConditionsRow& row : hours_off) {
        row.time += std::chrono::hours(8);
    }
    CHECK(find(find_sky_doubts(ConditionsSeries(hours_off), kPlace, kPlane), "sun_below_horizon") != nullptr);
}

TEST_CASE("quality: a clock an hour ahead is found, with what to declare", "[sun]") {
    auto rows = clear_day();
    for (ConditionsRow& row : rows) {
        row.time += std::chrono::hours(1);
    }
    const auto findings = find_sky_doubts(ConditionsSeries(rows), kPlace, kPlane);
    const LogFinding* shift = find(findings, "clock_shift");
    REQUIRE(shift != nullptr);
    CHECK_THAT(shift->text, Contains("60.0 min ahead") && Contains("shift_s = 3600"));
}

TEST_CASE("quality: modules held at freezing in the sun are under snow", "[sun]") {
    auto rows = made_rows(60, 60.0, moving);
    for (ConditionsRow& row : rows) {
        row.air = Celsius(-9.0);
        row.module = Celsius(-1.5);
    }
    const auto snow = find_module_doubts(ConditionsSeries(rows));
    REQUIRE(snow.size() == 1);
    CHECK(snow.front().kind == "snow_suspected");
    CHECK_THAT(snow.front().text, Contains("2026-06-17"));

    for (ConditionsRow& row : rows) {
        row.air = Celsius(20.0);
        row.module = Celsius(22.0);
    }
    CHECK(find_module_doubts(ConditionsSeries(rows)).front().kind == "module_too_cool");
    for (ConditionsRow& row : rows) {
        row.module = faiman_temperature(row.poa, row.air, row.wind);
    }
    CHECK(find_module_doubts(ConditionsSeries(rows)).empty());
}
