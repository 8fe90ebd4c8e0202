#include "heatrow/sun/clock_shift.hpp"

#include "made_series.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <random>

using namespace heatrow;
using Catch::Matchers::WithinAbs;
using heatrow::testing::after;

namespace {

const Place kPlace{degrees(40.1), degrees(-3.65), Metres(650.0)};
const PlaneOrientation kPlane{degrees(30.0), degrees(165.0)};

// Days of clear sky at 92 % of the model, every second hour of them clouded, written by a clock that is ahead.
ConditionsSeries day_with_clouds(double ahead_s, int from_hour, int to_hour) {
    std::mt19937_64 random(7);
    std::vector<ConditionsRow> rows;
    for (int minute = from_hour * 60; minute <= to_hour * 60; minute += 2) {
        const UtcTime time = after((minute - 600) * 60.0);
        ConditionsRow row;
        const bool cloud = (minute / 60) % 3 == 1;
        const double share = cloud ? 0.2 + 0.5 * static_cast<double>(random() % 1000) / 1000.0 : 0.92;
        row.poa = clear_sky_on_plane(time, kPlace, kPlane, 0.2) * share;
        row.time = time + std::chrono::milliseconds(static_cast<std::int64_t>(ahead_s * 1000.0));
        rows.push_back(row);
    }
    return ConditionsSeries(rows);
}

}  // namespace

TEST_CASE("clock shift: a planted shift is found between clouds", "[sun]") {
    for (const double ahead : {-3600.0, -420.0, 0.0, 95.0, 1800.0, 7200.0}) {
        const auto found = estimate_clock_shift(day_with_clouds(ahead, 4, 20), kPlace, {kPlane, false, 0.2});
        INFO(ahead);
        REQUIRE(found);
        CHECK_THAT(found->ahead.value(), WithinAbs(ahead, 60.0));
        CHECK(found->residual_w_m2 < 10.0);
    }
}

TEST_CASE("clock shift: two hours around noon do not tell a shift from a gain", "[sun]") {
    CHECK_FALSE(estimate_clock_shift(day_with_clouds(0.0, 11, 13), kPlace, {kPlane, false, 0.2}));
}

TEST_CASE("clock shift: a dull day fits no clear sky", "[sun]") {
    std::mt19937_64 random(11);
    std::vector<ConditionsRow> rows = day_with_clouds(0.0, 4, 20).rows();
    for (ConditionsRow& row : rows) {
        row.poa = WattsPerSquareMetre(50.0 + 300.0 * static_cast<double>(random() % 1000) / 1000.0);
    }
    CHECK_FALSE(estimate_clock_shift(ConditionsSeries(rows), kPlace, {kPlane, false, 0.2}));
    CHECK_FALSE(estimate_clock_shift(ConditionsSeries(), kPlace, {kPlane, false, 0.2}));
}
