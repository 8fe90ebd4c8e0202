// `heatrow joints` from the outside: the worked example of docs/joints.md, and what the command refuses.
#include "support/program.hpp"
#include "support/temp_folder.hpp"
#include "support/text_file.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <filesystem>
#include <string>

using namespace heatrow::testing;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

const std::filesystem::path kDemo = std::filesystem::path(HEATROW_PROJECT) / "demo" / "joints" / "board.csv";
const std::vector<std::string> kFrame{"--scale", "0.04", "--unit", "K", "--air", "31", "--reflected", "31"};

ProgramResult joints(const std::string& list, std::vector<std::string> more) {
    more.insert(more.begin(), {"joints", list});
    return run_program(HEATROW_PROGRAM, more);
}

std::vector<std::string> with(std::vector<std::string> base, const std::vector<std::string>& more) {
    base.insert(base.end(), more.begin(), more.end());
    return base;
}

}  // namespace

TEST_CASE("joints: the worked example of the documentation", "[e2e]") {
    const auto result = joints(kDemo.string(), kFrame);
    INFO(result.err);
    REQUIRE(result.exit_code == 0);
    CHECK(result.err.empty());
    const std::string docs = text_of(std::filesystem::path(HEATROW_PROJECT) / "docs" / "joints.md");
    const std::string opening = "```text\n";
    const auto from = docs.find(opening) + opening.size();
    const std::string table = docs.substr(from, docs.find("```", from) - from);
    CHECK(table.size() > 500);
    CHECK_THAT(result.out, Contains(table));
    CHECK_THAT(result.out, Contains("Arc flash") && Contains("qualified people"));
}

TEST_CASE("joints: JSON, CSV and page say the same", "[e2e]") {
    const TempFolder folder;
    const auto csv = (folder.path() / "out.csv").string();
    const auto page = (folder.path() / "out.html").string();
    const auto result = joints(kDemo.string(), with(kFrame, {"--json", "--out", csv, "--report", page}));
    INFO(result.err);
    REQUIRE(result.exit_code == 0);
    const auto json = nlohmann::json::parse(result.out);
    CHECK(json.at("schema") == "heatrow-joints/1");
    const auto& hot = json.at("joints").at(2);
    CHECK(hot.at("joint") == "Q1 L3");
    CHECK(hot.at("verdict").at("class") == 3);
    CHECK_THAT(hot.at("rise_at_rated").at("kelvin").get<double>(), WithinAbs(96.9, 0.05));
    const auto& lug = json.at("joints").at(3);
    CHECK(lug.at("flags") == "emissivity_too_low");
    CHECK(lug.at("verdict").is_null());
    CHECK(lug.at("over_siblings").at("kelvin").is_null());
    CHECK(json.at("profile").at("figures").at("exponent").at("source").get<std::string>().starts_with("M"));
    CHECK_THAT(text_of(csv), Contains("\r\nQ1 L3,Q1 outlet,L3,outlet.tif,tape,") && Contains("emissivity_too_low"));
    CHECK_THAT(text_of(page), Contains("Arc flash") && Contains("not called healthy") && Contains("data:image/png"));

    const auto again = joints(kDemo.string(), with(kFrame, {"--out", csv}));
    CHECK(again.exit_code == 1);
    CHECK_THAT(again.err, Contains("--overwrite"));
    CHECK(joints(kDemo.string(), with(kFrame, {"--out", csv, "--overwrite"})).exit_code == 0);
    CHECK(joints(kDemo.string(), with(kFrame, {"--strict"})).exit_code == 3);
}

TEST_CASE("joints: names are data on the page and in the table", "[e2e]") {
    const TempFolder folder;
    const auto list = folder.write("list.csv",
                                   "joint,group,temperature_c,current_a,rated_a,surface\n"
                                   "<script>alert(1)</script>,g,50,8,10,tape\n=1+1,g,52,8,10,tape\n");
    const auto page = folder.path() / "page.html";
    const auto csv = folder.path() / "out.csv";
    const auto result = joints(list.string(), {"--air", "30", "--report", page.string(), "--out", csv.string()});
    INFO(result.err);
    REQUIRE(result.exit_code == 0);
    CHECK(text_of(page).find("<script>") == std::string::npos);
    CHECK_THAT(text_of(csv), Contains("\r\n'=1+1,"));
}

TEST_CASE("joints: slips are refused with exit code and remedy", "[e2e]") {
    const TempFolder folder;
    const std::string head = "joint,group,thermogram,area,temperature_c,current_a,rated_a,surface,emissivity\n";
    const auto refused =
        [&](const std::string& rows, const std::vector<std::string>& options, int code, const char* words) {
            const auto list = folder.write("list.csv", head + rows);
            const auto result = joints(list.string(), options);
            CHECK(result.exit_code == code);
            CHECK_THAT(result.err, Contains(words));
            CHECK(result.out.empty());
        };
    std::filesystem::copy_file(kDemo.parent_path() / "outlet.tif", folder.path() / "outlet.tif");
    refused("L1,g,,,50,8,10,tape,\n", {}, 1, "line 2, field air_c");
    refused("L1,g,no.tif,rect:1 1 5 5,,8,10,tape,\n", {"--air", "30"}, 1, "field thermogram");
    refused("L1,g,outlet.tif,rect:1 1 5 5,,8,10,tape,\n", {"--air", "30"}, 2, "must be declared");
    refused("L1,g,outlet.tif,rect:1 1 5 5,,8,10,tape,\n",
            {"--air", "30", "--scale", "0.04", "--unit", "K"},
            1,
            "field reflected_c");
    refused("L1,g,outlet.tif,rect:900 1 5 5,,8,10,tape,\n", kFrame, 1, "160 x 120 px");
    refused("L1,g,,,50,8,10,tape,\n", {"--air", "30", "--profile", "field-practice"}, 2, "line");
    refused("L1,g,,,50,8,10,tape,\n", {"--air", "30", "--profile", "nowhere"}, 2, "nowhere");
    refused("L1,g,,,50,8,10,tape,\n", {"--air", "304"}, 2, "304 cannot be");
    refused("L1,g,,,50,8,10,tape,0\n", {"--air", "30"}, 1, "field emissivity");
    CHECK(joints((folder.path() / "none.csv").string(), {}).exit_code == 1);
}
