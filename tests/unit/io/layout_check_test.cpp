#include "heatrow/io/layout_check.hpp"

#include "heatrow/io/array_description_reader.hpp"
#include "heatrow/io/layout_reader.hpp"
#include "heatrow/io/layout_writer.hpp"
#include "support/check_error.hpp"
#include "support/plain_type.hpp"
#include "support/temp_folder.hpp"

#include <catch2/catch.hpp>

#include <algorithm>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::kPlainType;
using heatrow::testing::message_of;
using heatrow::testing::TempFolder;

namespace {

const std::string kSite = "[site]\nlongitude = -3.65\nlatitude = 52.12\n";
const std::string kArea = R"([[area]]
id = "A"
type = "plain"
tilt = 20
azimuth = 170
along = 6
up = 2
rows = 3
row_pitch_m = 6
[area.wiring]
form = "row"
)";

std::vector<PlannedModule> planned(const std::string& area = kArea) {
    return make_array(parse_array_description(kSite + area, "array.toml").array, {{"plain", {1.0, 1.6}}});
}

constexpr SiteOrigin kOrigin{-3.65, 52.12, Metres(0.0)};

LayoutCheck check_text(const std::string& geojson) {
    const TempFolder folder;
    folder.write("types/plain.toml", kPlainType);
    const auto file = folder.write("layout.geojson", geojson);
    return check_layout(file, ModuleTypeCatalogue({folder.path() / "types"}));
}

LayoutCheck check(const std::vector<PlannedModule>& modules) {
    return check_text(layout_geojson(modules, kOrigin));
}

std::vector<LayoutProblem> of_kind(const LayoutCheck& check, LayoutDoubt doubt) {
    std::vector<LayoutProblem> problems;
    std::copy_if(check.problems.begin(), check.problems.end(), std::back_inserter(problems), [doubt](const auto& p) {
        return p.doubt == doubt;
    });
    return problems;
}

void move(PlannedModule& module, const Eigen::Vector3d& by) {
    for (Eigen::Vector3d& corner : module.corners_in_site) {
        corner += by;
    }
}

}  // namespace

TEST_CASE("layout check: a sound layout has counts and no problem", "[io]") {
    const LayoutCheck result = check(planned());
    CHECK(result.problems.empty());
    CHECK_FALSE(result.is_refused());
    CHECK(result.modules == 36);
    CHECK(result.types.at("plain").modules == 36);
    CHECK(result.types.at("plain").rated_power_w == 9720.0);
    REQUIRE(result.strings.size() == 6);
    CHECK(result.strings[1].id == "AR1-S2");
    CHECK(result.strings[1].modules == 6);
    CHECK(result.tables.size() == 3);
    CHECK(result.without_string == 0);
    CHECK(result.area_m2 == Approx(36 * 1.6).epsilon(1e-4));
}

TEST_CASE("layout check: written layouts are what analyse reads", "[io]") {
    const auto modules = planned();
    const TempFolder folder;
    folder.write("types/plain.toml", kPlainType);
    const auto file = folder.write("layout.geojson", layout_geojson(modules, kOrigin));
    const Layout layout = read_layout(file, ModuleTypeCatalogue({folder.path() / "types"}), kOrigin);
    for (const PlannedModule& module : modules) {
        const Module& read = layout.modules[static_cast<std::size_t>(layout.find_module(module.id).value())];
        for (std::size_t i = 0; i < 4; ++i) {
            CHECK((read.corners_in_site[i] - module.corners_in_site[i]).norm() < 1e-3);
        }
        CHECK(layout.strings[static_cast<std::size_t>(read.string)].id == module.string);
        CHECK(read.position == module.position);
    }
}

TEST_CASE("layout check: every kind of problem names who it is about", "[io]") {
    auto modules = planned();
    SECTION("duplicate id") {
        modules[1].id = modules[0].id;
        const auto problems = of_kind(check(modules), LayoutDoubt::duplicate_id);
        REQUIRE(problems.size() == 1);
        CHECK(problems[0].entity == "module \"AR1-T1-A01\"");
        CHECK(check(modules).is_refused());
    }
    SECTION("overlap: half a module along the row") {
        move(modules[35], 0.51 * (modules[34].corners_in_site[0] - modules[35].corners_in_site[0]));
        const auto problems = of_kind(check(modules), LayoutDoubt::overlap);
        REQUIRE(problems.size() == 1);
        CHECK(problems[0].entity == "modules \"AR3-T1-B05\" and \"AR3-T1-B06\"");
        CHECK_THAT(problems[0].why, Contains("overlap by 50 %"));
        CHECK_FALSE(check(modules).is_refused());
    }
    SECTION("the same outline twice") {
        modules.push_back(modules[3]);
        modules.back().id = "X";
        modules.back().string.clear();
        const auto problems = of_kind(check(modules), LayoutDoubt::overlap);
        REQUIRE(problems.size() == 1);
        CHECK_THAT(problems[0].why, Contains("on one another: 100 %"));
    }
    SECTION("above one another is no overlap") {
        modules.push_back(modules[3]);
        modules.back().id = "X";
        modules.back().string.clear();
        move(modules.back(), {0.0, 0.0, 4.0});
        CHECK(of_kind(check(modules), LayoutDoubt::overlap).empty());
    }
    SECTION("size") {
        modules[7].corners_in_site[1] += 0.3 * (modules[7].corners_in_site[1] - modules[7].corners_in_site[0]);
        modules[7].corners_in_site[2] += 0.3 * (modules[7].corners_in_site[2] - modules[7].corners_in_site[3]);
        const auto problems = of_kind(check(modules), LayoutDoubt::size);
        REQUIRE(problems.size() == 1);
        CHECK(problems[0].entity == "module \"AR1-T1-B02\"");
        CHECK_THAT(problems[0].why, Contains("1.300 m wide and 1.600 m high"));
    }
    SECTION("millimetres taken for metres") {
        for (PlannedModule& module : modules) {
            for (Eigen::Vector3d& corner : module.corners_in_site) {
                corner *= 1000.0;
            }
        }
        const auto result = check(modules);
        const auto problems = of_kind(result, LayoutDoubt::size);
        REQUIRE(problems.size() > 1);
        CHECK_THAT(problems[0].why, Contains("no size of a module"));
    }
    SECTION("alias ids of all three kinds") {
        modules[0].id = "ar1-t1-a1";
        modules[1].id = "AR1 -T1-A1";
        modules[2].string = "AR1-SO1";
        modules[2].position = 1;
        modules[3].table = "AR1-T01";
        const auto problems = of_kind(check(modules), LayoutDoubt::alias);
        REQUIRE(problems.size() == 3);
        CHECK_THAT(problems[0].entity + problems[0].why, Contains("ar1-t1-a1") && Contains("AR1 -T1-A1"));
        CHECK_THAT(problems[1].entity + problems[1].why, Contains("string") && Contains("AR1-SO1"));
        CHECK_THAT(problems[2].entity + problems[2].why, Contains("table") && Contains("AR1-T01"));
    }
    SECTION("positions and lengths") {
        modules[2].string.clear();
        const auto result = check(modules);
        const auto gaps = of_kind(result, LayoutDoubt::position_gap);
        REQUIRE(gaps.size() == 1);
        CHECK(gaps[0].entity == "string \"AR1-S1\"");
        CHECK_THAT(gaps[0].why, Contains("position 3 is missing, before module \"AR1-T1-A04\""));
        const auto lengths = of_kind(result, LayoutDoubt::odd_length);
        REQUIRE(lengths.size() == 1);
        CHECK_THAT(lengths[0].why, Contains("it has 5 modules, 5 of 6 strings of its type have 6"));
        CHECK(result.without_string == 1);
    }
    SECTION("shared position") {
        modules[3].position = 3;
        const auto result = check(modules);
        REQUIRE(of_kind(result, LayoutDoubt::shared_position).size() == 1);
        CHECK(result.is_refused());
    }
    SECTION("mixed string") {
        modules[3].home.combiner = "CB2";
        const auto problems = of_kind(check(modules), LayoutDoubt::mixed_string);
        REQUIRE(problems.size() == 1);
        CHECK_THAT(problems[0].why, Contains("combiner"));
    }
    SECTION("unknown type, once") {
        modules[3].type = modules[4].type = "plian";
        const auto problems = of_kind(check(modules), LayoutDoubt::unreadable);
        REQUIRE(problems.size() == 1);
        CHECK_THAT(problems[0].why, Contains("plian") && Contains("Did you mean \"plain\"?"));
    }
    SECTION("a module far away") {
        move(modules[3], {60000.0, 0.0, 0.0});
        const auto problems = of_kind(check(modules), LayoutDoubt::far_away);
        REQUIRE(problems.size() == 1);
        CHECK(problems[0].entity == "module \"AR1-T1-A04\"");
    }
}

TEST_CASE("layout check: longitude and latitude changed places", "[io]") {
    std::string text = layout_geojson(planned(), kOrigin);
    std::string swapped;
    std::size_t at = 0;
    while (true) {
        const auto open = text.find("[-3.", at);
        if (open == std::string::npos) {
            break;
        }
        const auto comma = text.find(',', open);
        const auto close = text.find(']', comma);
        swapped += text.substr(at, open - at) + "[" + text.substr(comma + 1, close - comma - 1) + "," +
                   text.substr(open + 1, comma - open - 1) + "]";
        at = close + 1;
    }
    swapped += text.substr(at);
    const LayoutCheck result = check_text(swapped);
    const auto problems = of_kind(result, LayoutDoubt::axes_swapped);
    REQUIRE(problems.size() == 1);
    CHECK_THAT(problems[0].why, Contains("36 of 36 outlines") && Contains("(-3.6") && Contains("52.12"));
    CHECK(of_kind(result, LayoutDoubt::size).empty());
    CHECK(result.is_refused());
}

TEST_CASE("layout check: faulty features are all listed, the others counted", "[io]") {
    auto modules = planned();
    std::string text = layout_geojson(modules, kOrigin);
    const auto spoil = [&](const std::string& from, const std::string& to) {
        const auto at = text.find(from);
        REQUIRE(at != std::string::npos);
        text.replace(at, from.size(), to);
    };
    spoil("\"module\":\"AR1-T1-A01\"", "\"module\":\"\"");
    spoil("\"position\":2,\"table\":\"AR1-T1\",\"tilt\":20,", "\"position\":2,\"table\":\"AR1-T1\",\"tilt\":120,");
    const LayoutCheck result = check_text(text);
    const auto problems = of_kind(result, LayoutDoubt::unreadable);
    REQUIRE(problems.size() == 2);
    CHECK_THAT(problems[0].entity, Contains("feature"));
    CHECK(problems[1].entity == "module \"AR1-T1-A02\"");
    CHECK_THAT(problems[1].why, Contains("tilt"));
    CHECK(result.modules == 34);
}

TEST_CASE("descriptions of arrays: slips are told with line and key", "[io]") {
    const auto message = [](const std::string& text) {
        return message_of([&] { static_cast<void>(parse_array_description(text, "array.toml")); });
    };
    CHECK(message(kSite + kArea).empty());
    CHECK_THAT(message(kSite + kArea + "lenght = 5\n"),
               Contains("usage: ") && Contains("array.toml, line 15, area.wiring.lenght") &&
                   Contains("Did you mean 'length'?"));
    CHECK_THAT(message(kSite), Contains("[[area]]"));
    CHECK_THAT(message(kSite + "[[area]]\ntype = \"plain\"\ntilt = 20\nazimuth = 180\nalong = 0\n"),
               Contains("area.along"));
    CHECK_THAT(message(kSite + "[[area]]\ntype = \"plain\"\ntilt = 20\nazimuth = 180\nalong = 2\nrows = 3\n"),
               Contains("row_pitch_m"));
    CHECK_THAT(message(kSite + kArea + "[area.numbering]\nmodule = \"{rwo}\"\n"),
               Contains("{rwo}") && Contains("{row_n}"));
    CHECK_THAT(message(kSite + kArea + kArea), Contains("two areas are called \"A\""));
    CHECK_THAT(message(kSite + "[[area]]\ntype = \"plain\"\ntilt = 20\nazimuth = 180\nalong = 2\ntables = 3\n"
                               "table_gap_m = [0.5]\n"),
               Contains("array of 2 numbers"));
}
