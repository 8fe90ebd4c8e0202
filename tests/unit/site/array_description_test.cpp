#include "heatrow/site/array_description.hpp"

#include "support/check_error.hpp"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::message_of;

namespace {

const TypeSizes kSizes{{"plain", {1.0, 1.6}}};

IdPattern pattern(std::string_view text) {
    static const std::vector<std::string_view> known{"area",
                                                     "row",
                                                     "table",
                                                     "table_id",
                                                     "tier",
                                                     "column",
                                                     "place",
                                                     "n",
                                                     "row_n",
                                                     "area_n",
                                                     "string",
                                                     "group",
                                                     "in_group"};
    const auto parsed = IdPattern::parse(text, known);
    REQUIRE(parsed);
    return *parsed;
}

ArrayArea area_of(int along, int up) {
    ArrayArea area;
    area.id = "A";
    area.type = "plain";
    area.tilt_deg = 30.0;
    area.grid = {along, up};
    area.table_gaps_m = {0.5};
    area.row_pitch_m = 6.0;
    area.numbering.table = pattern("{area}R{row}-T{table}");
    area.numbering.module = pattern("{table_id}-{tier:A}{column:02}");
    area.wiring.string = pattern("{area}R{row}-S{string}");
    return area;
}

ArrayDescription description_of(const ArrayArea& area) {
    ArrayDescription description;
    description.name = "array.toml";
    description.areas = {area};
    return description;
}

std::vector<PlannedModule> made(const ArrayArea& area) {
    return make_array(description_of(area), kSizes);
}

// Ids of one string in wiring order.
std::string way(const std::vector<PlannedModule>& modules, const std::string& string) {
    std::map<int, std::string> ids;
    for (const PlannedModule& module : modules) {
        if (module.string == string) {
            ids[module.position] = module.id;
        }
    }
    std::string text;
    for (const auto& [position, id] : ids) {
        text += (text.empty() ? "" : " ") + id;
    }
    return text;
}

std::string ids(const std::vector<PlannedModule>& modules) {
    std::string text;
    for (const PlannedModule& module : modules) {
        text += (text.empty() ? "" : " ") + module.id;
    }
    return text;
}

}  // namespace

TEST_CASE("id patterns: numbers, widths, letters", "[site]") {
    const IdValues values{{"area", std::string("N")}, {"row", 7}, {"column", 12}, {"tier", 28}};
    CHECK(pattern("{area}-{row:02}.{column}{tier:A}").fill(values) == "N-07.12AB");
    CHECK(letters_of(1) == "A");
    CHECK(letters_of(26) == "Z");
    CHECK(letters_of(27) == "AA");
    CHECK(letters_of(702) == "ZZ");
    const std::vector<std::string_view> known{"row"};
    CHECK_THAT(IdPattern::parse("{rwo}", known).error(), Contains("no {rwo}") && Contains("{row}"));
    CHECK_THAT(IdPattern::parse("{row", known).error(), Contains("not closed"));
    CHECK_THAT(IdPattern::parse("{row:x}", known).error(), Contains("'x' is no form"));
    CHECK_FALSE(IdPattern::parse("", known));
}

TEST_CASE("arrays: corners in space follow tilt, azimuth and top", "[site]") {
    ArrayArea area = area_of(2, 1);
    area.azimuth_deg = 90.0;  // faces east: looking up the slope is looking west, right is north
    area.position_m = {10.0, 20.0};
    area.lower_edge_m = 2.0;
    area.gap_along_m = 0.1;
    const auto modules = made(area);
    REQUIRE(modules.size() == 2);
    const auto& c = modules[1].corners_in_site;
    const double level = 1.6 * std::cos(M_PI / 6.0);
    CHECK((c[3] - Eigen::Vector3d(10.0, 21.1, 2.0)).norm() < 1e-9);          // lower left
    CHECK((c[2] - Eigen::Vector3d(10.0, 22.1, 2.0)).norm() < 1e-9);          // lower right
    CHECK((c[0] - Eigen::Vector3d(10.0 - level, 21.1, 2.8)).norm() < 1e-9);  // upper left
    for (const TopEdge top : {TopEdge::up, TopEdge::down, TopEdge::left, TopEdge::right}) {
        area.top = top;
        const auto turned = made(area).front().corners_in_site;
        // The sides keep the type's lengths, and the front stays the front.
        CHECK((turned[1] - turned[0]).norm() == Approx(1.0));
        CHECK((turned[3] - turned[0]).norm() == Approx(1.6));
        const Eigen::Vector3d normal = (turned[3] - turned[0]).cross(turned[1] - turned[0]).normalized();
        CHECK((normal - Eigen::Vector3d(std::sin(M_PI / 6.0), 0.0, std::cos(M_PI / 6.0))).norm() < 1e-9);
    }
    area.top = TopEdge::left;  // the middle of the top edge lies left of the middle of the bottom edge: south
    const auto left = made(area).front().corners_in_site;
    CHECK((left[0] + left[1]).y() < (left[2] + left[3]).y());
}

TEST_CASE("arrays: numbering starts at any corner and may run back", "[site]") {
    ArrayArea area = area_of(3, 2);
    area.tables = 2;
    CHECK_THAT(ids(made(area)), Catch::StartsWith("AR1-T1-A01 AR1-T1-A02 AR1-T1-A03 AR1-T1-B01"));
    area.numbering.start = {true, true};  // upper right
    CHECK_THAT(ids(made(area)), Catch::StartsWith("AR1-T2-B03 AR1-T2-B02 AR1-T2-B01 AR1-T2-A03"));
    area.numbering.start = {};
    area.numbering.module = pattern("{row_n}");
    CHECK(ids(made(area)) == "1 2 3 7 8 9 4 5 6 10 11 12");
    area.numbering.serpentine_lines = true;
    CHECK(ids(made(area)) == "1 2 3 12 11 10 4 5 6 9 8 7");
    area.numbering.up_first = true;
    CHECK(ids(made(area)) == "1 4 5 2 3 6 8 9 12 7 10 11");
    area.numbering.serpentine_lines = false;
    area.numbering.module = pattern("{table}.{n}");
    CHECK(ids(made(area)) == "1.1 1.3 1.5 1.2 1.4 1.6 2.1 2.3 2.5 2.2 2.4 2.6");
    area.rows = 2;
    area.grid = {3, 1};
    area.numbering.up_first = false;
    area.numbering.serpentine_rows = true;
    area.numbering.module = pattern("{row}-{place}");
    CHECK(ids(made(area)) == "1-1 1-2 1-3 1-4 1-5 1-6 2-6 2-5 2-4 2-3 2-2 2-1");
    area.numbering.rows_from_back = true;
    area.numbering.module = pattern("{area_n}");
    CHECK(ids(made(area)) == "12 11 10 9 8 7 1 2 3 4 5 6");
}

TEST_CASE("arrays: strings in a row, out and back, leaping", "[site]") {
    ArrayArea area = area_of(6, 2);
    area.numbering.module = pattern("{tier:A}{column}");
    area.wiring.form = Wiring::Form::row;
    area.wiring.length = 4;
    auto modules = made(area);
    CHECK(way(modules, "AR1-S1") == "A1 A2 A3 A4");
    CHECK(way(modules, "AR1-S2") == "A5 A6");
    CHECK(way(modules, "AR1-S3") == "B1 B2 B3 B4");
    area.wiring.form = Wiring::Form::u;
    area.wiring.length = 6;
    modules = made(area);
    CHECK(way(modules, "AR1-S1") == "A1 A2 A3 B3 B2 B1");
    CHECK(way(modules, "AR1-S2") == "A4 A5 A6 B6 B5 B4");
    area.wiring.form = Wiring::Form::leapfrog;
    modules = made(area);
    CHECK(way(modules, "AR1-S1") == "A1 A3 A5 A6 A4 A2");
    area.wiring.positive_at_start = false;
    area.wiring.start = {true, true};
    modules = made(area);
    CHECK(way(modules, "AR1-S1") == "B5 B3 B1 B2 B4 B6");
    area.missing = {"B4"};
    modules = made(area);
    CHECK(modules.size() == 11);
    CHECK(way(modules, "AR1-S1") == "B5 B2 B1 B3 B6");
}

TEST_CASE("arrays: strings share combiners in groups, tables are wired by themselves", "[site]") {
    ArrayArea area = area_of(2, 1);
    area.tables = 4;
    area.wiring.form = Wiring::Form::row;
    area.wiring.over_tables = false;
    area.wiring.group = 2;
    area.wiring.combiner = pattern("CB{group}");
    area.wiring.input = pattern("{in_group}");
    const auto modules = made(area);
    CHECK(way(modules, "AR1-S3") == "AR1-T3-A01 AR1-T3-A02");
    CHECK(modules[4].home.combiner == "CB2");
    CHECK(modules[4].home.input == "1");
    CHECK(modules[7].home.input == "2");
    CHECK(modules[7].home.inverter.empty());
}

TEST_CASE("arrays: rows follow each other, step, curve and differ", "[site]") {
    ArrayArea area = area_of(4, 1);
    area.rows = 3;
    area.tables = 2;
    area.row_shift_m = 0.7;
    area.table_step_m = 0.3;
    PlaceChange short_row;
    short_row.row = 2;
    short_row.tables = 1;
    short_row.along = 3;
    PlaceChange elsewhere;
    elsewhere.row = 3;
    elsewhere.table = 2;
    elsewhere.position_m = {{50.0, 60.0}};
    elsewhere.azimuth_deg = 200.0;
    area.changes = {short_row, elsewhere};
    const auto modules = made(area);
    REQUIRE(modules.size() == 8 + 3 + 8);
    const auto corner = [&](std::size_t module) { return modules[module].corners_in_site[3]; };
    CHECK((corner(8) - Eigen::Vector3d(0.7, 6.0, 0.0)).norm() < 1e-9);
    CHECK(corner(4).z() == Approx(0.3));
    CHECK(corner(4).x() == Approx(4 * 1.0 + 3 * 0.02 + 0.5));
    CHECK((corner(15) - Eigen::Vector3d(50.0, 60.0, 0.3)).norm() < 1e-9);
    CHECK(modules[15].azimuth_deg == 200.0);

    ArrayArea curved = area_of(2, 1);
    curved.tables = 3;
    curved.table_turn_deg = 5.0;
    const auto bent = made(curved);
    CHECK(bent[4].azimuth_deg == 190.0);
    // Tables stay chained: each begins where the one before it ends, plus the gap along that one.
    const Eigen::Vector3d end = bent[1].corners_in_site[2];
    CHECK((bent[2].corners_in_site[3] - end).norm() == Approx(0.5));

    ArrayDescription sloping = description_of(area_of(4, 1));
    sloping.ground_rise = {0.1, 0.0};
    CHECK(make_array(sloping, kSizes).front().corners_in_site[3].z() == Approx(0.1 * 0.5 * (4.0 + 3 * 0.02)));
}

TEST_CASE("arrays: listed strings, with ranges along a line either way", "[site]") {
    ArrayDescription description = description_of(area_of(4, 2));
    description.areas[0].numbering.module = pattern("{tier:A}{column}");
    description.strings = {{"S", {"A1..A3", "B3..B1"}, true, {"CB", "", ""}}, {"T", {"A4..B4"}, false, {}}};
    const auto modules = make_array(description, kSizes);
    CHECK(way(modules, "S") == "A1 A2 A3 B3 B2 B1");
    CHECK(way(modules, "T") == "B4 A4");
    CHECK(modules[0].home.combiner == "CB");
}

TEST_CASE("arrays: what cannot be is refused by name", "[site]") {
    const auto message = [](const ArrayDescription& description) {
        return message_of([&] { static_cast<void>(make_array(description, kSizes)); });
    };
    ArrayDescription description = description_of(area_of(4, 2));
    description.areas[0].missing = {"AR1-T1-A09"};
    CHECK_THAT(message(description),
               Contains("usage: ") && Contains("array.toml, area \"A\", missing") && Contains("Did you mean"));
    description.areas[0].missing = {};
    description.areas[0].numbering.module = pattern("{column}");
    CHECK_THAT(message(description), Contains("the id \"1\" is given to two modules"));
    description = description_of(area_of(4, 2));
    description.strings = {{"S", {"AR1-T1-A01..AR1-T1-B03"}, true, {}}};
    CHECK_THAT(message(description), Contains("string \"S\"") && Contains("not in one line"));
    description.strings = {{"S", {"AR1-T1-A01", "AR1-T1-A01"}, true, {}}};
    CHECK_THAT(message(description), Contains("in string \"S\" already"));
    description.strings = {{"S", {"AR1-T1-A99"}, true, {}}};
    CHECK_THAT(message(description), Contains("no module \"AR1-T1-A99\""));
    description = description_of(area_of(4, 2));
    PlaceChange change;
    change.row = 2;
    description.areas[0].changes = {change};
    CHECK_THAT(message(description), Contains("row 2 is changed but does not exist"));
    description = description_of(area_of(4, 2));
    description.areas[0].wiring.form = Wiring::Form::row;
    description.areas[0].wiring.string = pattern("{area}");
    CHECK_THAT(message(description), Contains("string \"A\"") && Contains("two strings"));
    description = description_of(area_of(4, 2));
    change.row = 1;
    change.along = 10000;
    change.up = 10000;
    description.areas[0].changes = {change};
    CHECK_THAT(message(description), Contains("more than two million modules"));
    description = description_of(area_of(2, 1));
    description.areas.push_back(description.areas.front());
    CHECK_THAT(message(description), Contains("is given to two tables"));
}
