// `report` from the outside, on the invented survey's result folder.
#include "support/program.hpp"
#include "support/sample_result.hpp"
#include "support/temp_folder.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <fstream>

namespace fs = std::filesystem;
using namespace heatrow::testing;
using Catch::Matchers::Contains;

namespace {

ProgramResult run(const std::vector<std::string>& arguments) {
    return run_program(HEATROW_PROGRAM, arguments);
}

}  // namespace

TEST_CASE("report: what analyse drew comes out again, byte for byte", "[e2e]") {
    const TempFolder temp;
    const fs::path result = temp.path() / "result";
    write_sample_result(result);
    auto before = files_of(result);
    std::ofstream(result / "own notes.txt") << "mine";
    const auto done = run({"report", result.string(), "--overwrite"});
    INFO(done.err);
    REQUIRE(done.exit_code == 0);
    CHECK_THAT(done.out, Contains("report.html") && Contains("findings.csv") && Contains("worklist-class-3.gpx"));
    auto after = files_of(result);
    CHECK(after.at("own notes.txt") == "mine");
    after.erase("own notes.txt");
    const auto manifest = nlohmann::json::parse(after.at("manifest.json"));
    CHECK(manifest["remade_by"]["command"] == "report");
    CHECK(manifest["inputs"] == nlohmann::json::parse(before.at("manifest.json"))["inputs"]);
    before.erase("manifest.json");
    after.erase("manifest.json");
    CHECK(before == after);
}

TEST_CASE("report: the record alone is enough for every output", "[e2e]") {
    const TempFolder temp;
    const fs::path result = temp.path() / "result";
    write_sample_result(result);
    const fs::path other = temp.path() / "other";
    const auto done = run({"report", (result / "survey.gpkg").string(), "--out", other.string()});
    INFO(done.err);
    REQUIRE(done.exit_code == 0);
    auto before = files_of(result);
    auto after = files_of(other);
    before.erase("manifest.json");
    after.erase("manifest.json");
    CHECK(before == after);
    for (const char* name : {"report.pdf", "findings.xlsx", "worklist.csv", "worklist-class-2.gpx", "findings.kml"}) {
        CHECK(after.contains(name));
    }
}

TEST_CASE("report: only what is asked for, elsewhere, from the record alone", "[e2e]") {
    const TempFolder temp;
    const fs::path result = temp.path() / "result";
    write_sample_result(result);
    const fs::path other = temp.path() / "other";
    const auto done =
        run({"report", (result / "survey.gpkg").string(), "--only", "html,csv", "--out", other.string(), "--json"});
    INFO(done.err);
    REQUIRE(done.exit_code == 0);
    const auto json = nlohmann::json::parse(done.out);
    CHECK(json["schema"] == "heatrow-report/1");
    CHECK(json["drawn"] == nlohmann::json({"csv", "html"}));
    const auto files = files_of(other);
    CHECK(files.size() == 5);
    CHECK(files.at("report.html") == files_of(result).at("report.html"));
    CHECK_FALSE(files.contains("strings/S1.svg"));
}

TEST_CASE("report: what cannot be done is refused, nothing is changed", "[e2e]") {
    const TempFolder temp;
    const fs::path result = temp.path() / "result";
    write_sample_result(result);
    const auto before = files_of(result);
    const auto taken = run({"report", result.string()});
    CHECK(taken.exit_code == 1);
    CHECK_THAT(taken.err, Contains("--overwrite"));
    const auto unknown = run({"report", result.string(), "--only", "htm", "--overwrite"});
    CHECK(unknown.exit_code == 2);
    CHECK_THAT(unknown.err, Contains("Did you mean \"html\""));
    const auto nothing = run({"report", temp.path().string(), "--overwrite"});
    CHECK(nothing.exit_code == 1);
    CHECK_THAT(nothing.err, Contains("no such file") && Contains("result folder"));
    CHECK(files_of(result) == before);
}
