#include "heatrow/io/joint_list.hpp"

#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/joint_profile_reader.hpp"
#include "support/check_error.hpp"
#include "support/text_file.hpp"

#include <catch2/catch.hpp>

#include <string>

using namespace heatrow;
using Catch::Matchers::Contains;
using heatrow::testing::message_of;
using heatrow::testing::text_of;

namespace {

constexpr const char* kHead =
    "joint,group,thermogram,area,temperature_c,current_a,rated_a,surface,emissivity,cover_open_min,load_held_min\n";

JointList parse(const std::string& rows) {
    return parse_joint_list(kHead + rows, "board.csv");
}

std::string refusal(const std::string& rows) {
    return message_of([&rows] { (void)parse(rows); });
}

}  // namespace

TEST_CASE("joint list: typed temperatures and areas are read with their places") {
    const JointList list = parse(
        "L1,outlet,,,52.5,160,250,tape,,4,60\n"
        "L2,outlet,a.tif,rect:65 45 20 20,,155,250,bare_metal,0.7,,\n"
        "L3,outlet,a.tif,\"circle:80,60,6.5\",,158,250,insulation,,0,\n");
    REQUIRE(list.rows.size() == 3);
    CHECK(list.rows[0].temperature_c == 52.5);
    CHECK(list.rows[0].load_held_min == 60.0);
    CHECK(list.rows[0].surface == JointSurface::tape);
    CHECK(!list.rows[0].emissivity);
    CHECK(list.rows[1].thermogram == "a.tif");
    CHECK(std::get<RectangleShape>(*list.rows[1].area).width == 20);
    CHECK(!list.rows[1].cover_open_min);
    CHECK(std::get<CircleShape>(*list.rows[2].area).radius == 6.5);
    CHECK(list.rows[2].cover_open_min == 0.0);
    CHECK(list.rows[2].place == "board.csv, line 4");
}

TEST_CASE("joint list: semicolons and decimal commas") {
    const JointList list = parse_joint_list(
        "joint;group;temperature_c;current_a;rated_a;surface\nL1;g;52,5;160,5;250;paint\n", "board.csv");
    CHECK(list.rows[0].temperature_c == 52.5);
    CHECK(list.rows[0].current_a == 160.5);
}

TEST_CASE("joint list: slips are refused with file, line, field, value and remedy") {
    const auto refused = [](const std::string& rows, std::initializer_list<const char*> words) {
        const std::string message = refusal(rows);
        for (const char* word : words) {
            CHECK_THAT(message, Contains(word));
        }
    };
    refused("L1,g,,,5o,1,2,tape,,,\n", {"line 2", "field temperature_c", "'5o'", "degC"});
    refused("L1,g,,,325.6,1,2,tape,,,\nL1,g,,,50,1,2,tape,,,\n", {"line 3", "field joint", "'L1'", "line 2"});
    refused("L1,g,,,50,-4,2,tape,,,\n", {"field current_a", "-4", "magnitude"});
    refused("L1,g,,,50,,2,tape,,,\n", {"field current_a", "empty"});
    refused("L1,g,,,50,1,0,tape,,,\n", {"field rated_a", "0 cannot be", "above zero"});
    refused("L1,g,,,50,1,2,tape,0,,\n", {"field emissivity", "0 cannot be", "above 0"});
    refused("L1,g,,,50,1,2,tape,95,,\n", {"field emissivity", "95", "e.g. 0.95"});
    refused("L1,g,,,50,1,2,bare_metal,,,\n", {"field emissivity", "empty for bare metal", "tape or insulation"});
    refused("L1,g,,,50,1,2,tap,,,\n", {"field surface", "'tap'", "'tape'"});
    refused("L1,g,,,50,1,2,,,,\n", {"field surface", "empty", "contact_probe"});
    refused("L1,g,,,50,1,2,tape,,-1,\n", {"field cover_open_min", "-1", "minutes"});
    refused("L1,g,a.tif,rect:1 1 4 4,50,1,2,tape,,,\n", {"field temperature_c", "50", "'a.tif'", "Keep one"});
    refused("L1,g,,,,1,2,tape,,,\n", {"field temperature_c", "neither"});
    refused("L1,g,a.tif,,,1,2,tape,,,\n", {"field area", "rect:65 45 20 20"});
    refused("L1,g,a.tif,rect:1 2 3,,1,2,tape,,,\n", {"field area", "four whole numbers"});
    refused("L1,g,,rect:1 1 4 4,50,1,2,tape,,,\n", {"field area", "needs a thermogram"});
    refused("L1,g,a.tif,rect:1 1 4 4,,1,2,contact_probe,,,\n", {"field surface", "contact probe", "'a.tif'"});
    refused(",g,,,50,1,2,tape,,,\n", {"field joint", "empty"});
    refused("L1,g,,,50,1,100,tape,,,\nL2,g,,,50,1,63,tape,,,\n", {"line 3", "field rated_a", "63 A", "100 A", "'L1'"});
    refused("", {"board.csv", "no joint"});
}

TEST_CASE("joint list: columns are known, and there once") {
    const auto refused = [](const std::string& text) {
        return message_of([&text] { (void)parse_joint_list(text, "board.csv"); });
    };
    CHECK_THAT(refused("joint,group,curent_a,rated_a,surface\nL1,g,1,2,tape\n"),
               Contains("curent_a") && Contains("Did you mean 'current_a'?"));
    CHECK_THAT(refused("joint,current_a,rated_a,surface\nL1,1,2,tape\n"), Contains("group") && Contains("missing"));
    CHECK_THAT(refused("joint,group,group,current_a,rated_a,surface\nL1,g,g,1,2,tape\n"), Contains("two columns"));
}

TEST_CASE("joint profile: the shipped ones read, with a source for every figure") {
    for (const char* id : {"joints-iec-ts-62446-3", "joints-maintenance-table"}) {
        const JointProfile profile = read_joint_profile(find_profile(id, {}));
        CHECK(profile.id == id);
        for (const JointProfileKey& key : kJointProfileKeys) {
            CHECK(!(profile.*key.member).source.empty());
        }
        for (const JointStep& step : profile.steps) {
            CHECK(!step.source.empty());
            CHECK(!step.action.empty());
        }
    }
}

TEST_CASE("joint profile: mistakes are refused by line, key and value") {
    const std::string text = text_of(find_profile("joints-iec-ts-62446-3", {}));
    const auto refused = [&text](const std::string& what, const std::string& with) {
        std::string changed = text;
        changed.replace(changed.find(what), what.size(), with);
        return message_of([&changed] { (void)parse_joint_profile(changed, "p.toml"); });
    };
    CHECK_THAT(refused("load = \"rated\"", "load = \"full\""), Contains("p.toml") && Contains("full"));
    CHECK_THAT(refused("class = 2", "class = 4"), Contains("class") && Contains("4"));
    CHECK_THAT(refused("from_k = 10.0", "from_k = -1.0"), Contains("from_k") && Contains("-1"));
    CHECK_THAT(refused("from_k = 10.0", "from_k = 50.0"), Contains("ascend"));
    CHECK_THAT(refused("compare = \"air\"", ""), Contains("compare"));
    CHECK_THAT(refused("exponent_low", "exponent_least"), Contains("exponent_least") && Contains("line"));
    CHECK_THAT(refused("value = 0.30, ", "value = 30.0, "), Contains("minimum_load_fraction"));
}
