// `heatrow layout` from the outside: descriptions become layouts that analyse reads, and what is refused.
#include "support/program.hpp"
#include "support/temp_folder.hpp"
#include "support/text_file.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <cmath>
#include <filesystem>
#include <map>
#include <string>

using namespace heatrow::testing;
using Catch::Matchers::Contains;
namespace fs = std::filesystem;

namespace {

// The plant of demo/sites/quick as an installer would describe it.
const char* const kQuick = R"([site]
longitude = -4.7312
latitude = 39.2051

[[area]]
type = "generic-60-full"
lower_edge_m = 0.8
tilt = 25
azimuth = 180
rows = 2
row_pitch_m = 7.2
tables = 2
table_gap_m = 0.9
along = 10
up = 2

[area.wiring]
form = "u"
over = "table"
)";

ProgramResult layout(std::vector<std::string> arguments) {
    arguments.insert(arguments.begin(), "layout");
    return run_program(HEATROW_PROGRAM, arguments);
}

std::map<std::string, nlohmann::json> features_by_module(const fs::path& file) {
    std::map<std::string, nlohmann::json> features;
    const auto json = nlohmann::json::parse(text_of(file));
    for (const auto& feature : json.at("features")) {
        features[feature.at("properties").at("module")] = feature;
    }
    return features;
}

// Metres between two positions a few metres apart, on the sphere.
double metres_between(const nlohmann::json& a, const nlohmann::json& b) {
    constexpr double kMetresPerDegree = 111320.0;
    const double north = (a.at(1).get<double>() - b.at(1).get<double>()) * kMetresPerDegree;
    const double east = (a.at(0).get<double>() - b.at(0).get<double>()) * kMetresPerDegree *
                        std::cos(a.at(1).get<double>() * M_PI / 180.0);
    return std::hypot(east, north);
}

// The blocks of code of a page of the documentation.
std::vector<std::string> code_blocks(const fs::path& page, const std::string& kind) {
    std::vector<std::string> blocks;
    const std::string text = text_of(page);
    const std::string opening = "```" + kind + "\n";
    for (auto at = text.find(opening); at != std::string::npos; at = text.find(opening, at)) {
        at += opening.size();
        blocks.push_back(text.substr(at, text.find("```", at) - at));
    }
    return blocks;
}

}  // namespace

TEST_CASE("layout make: a described site equals the rendered site's layout within a millimetre", "[e2e]") {
    const TempFolder folder;
    const auto description = folder.write("quick.toml", kQuick);
    const fs::path out = folder.path() / "layout.geojson";
    const auto result = layout({"make", description.string(), out.string()});
    INFO(result.err);
    REQUIRE(result.exit_code == 0);
    CHECK(result.err.empty());
    CHECK_THAT(result.out, Contains("modules   80") && Contains("strings   4: 4 of 20 modules"));
    const auto made = features_by_module(out);
    const auto rendered = features_by_module(fs::path(HEATROW_E2E_WORK) / "rendered" / "layout.geojson");
    REQUIRE(made.size() == 80);
    REQUIRE(rendered.size() == 80);
    for (const auto& [id, feature] : rendered) {
        INFO(id);
        REQUIRE(made.contains(id));
        const auto& expected = feature.at("properties");
        const auto& found = made.at(id).at("properties");
        for (const char* field : {"type", "string", "position", "table", "top"}) {
            CHECK(found.at(field) == expected.at(field));
        }
        for (const char* field : {"tilt", "azimuth", "height"}) {
            CHECK(std::abs(found.at(field).get<double>() - expected.at(field).get<double>()) < 1e-3);
        }
        const auto& ring = feature.at("geometry").at("coordinates").at(0);
        for (std::size_t corner = 0; corner < 5; ++corner) {
            CHECK(metres_between(made.at(id).at("geometry").at("coordinates").at(0).at(corner), ring.at(corner)) <
                  1e-3);
        }
    }
    const std::string first = text_of(out);
    CHECK(layout({"make", description.string(), out.string()}).exit_code == 1);
    CHECK(layout({"make", description.string(), out.string(), "--overwrite", "-q"}).exit_code == 0);
    CHECK(text_of(out) == first);
}

TEST_CASE("layout make: the documentation's descriptions are sound", "[e2e]") {
    const auto blocks = code_blocks(fs::path(HEATROW_PROJECT) / "docs" / "formats" / "layout-description.md", "toml");
    REQUIRE(blocks.size() == 2);
    for (const std::string& block : blocks) {
        const TempFolder folder;
        const auto description = folder.write("site.toml", block);
        const auto out = (folder.path() / "layout.geojson").string();
        const auto made = layout({"make", description.string(), out});
        INFO(made.err);
        CHECK(made.exit_code == 0);
        const auto checked = layout({"check", out, "--json"});
        CHECK(checked.exit_code == 0);
        const auto json = nlohmann::json::parse(checked.out);
        CHECK(json.at("schema") == "heatrow-layout-check/1");
        for (const auto& problem : json.at("problems")) {
            CHECK(problem.at("problem") == "odd_length");  // last strings of rows
        }
    }
}

TEST_CASE("layout make: slips are told by line, key and remedy, and nothing is written", "[e2e]") {
    const TempFolder folder;
    std::string text = kQuick;
    text.replace(text.find("row_pitch_m"), 11, "row_pich_m");
    const auto description = folder.write("quick.toml", text);
    const fs::path out = folder.path() / "layout.geojson";
    const auto result = layout({"make", description.string(), out.string()});
    CHECK(result.exit_code == 2);
    CHECK_THAT(result.err, Contains("quick.toml, line 11, area.row_pich_m") && Contains("Did you mean 'row_pitch_m'?"));
    CHECK_FALSE(fs::exists(out));
    CHECK(layout({"mkae"}).exit_code == 2);
}

TEST_CASE("layout check: exit codes tell refused from doubtful", "[e2e]") {
    const TempFolder folder;
    const auto description = folder.write("quick.toml", kQuick);
    const fs::path out = folder.path() / "layout.geojson";
    REQUIRE(layout({"make", description.string(), out.string(), "-q"}).exit_code == 0);
    CHECK(layout({"check", out.string(), "--strict"}).exit_code == 0);
    std::string text = text_of(out);
    const std::string id = "\"module\":\"R1-T1-A01\"";
    const auto at = text.find(id);
    const auto doubtful =
        folder.write("doubtful.geojson", std::string(text).replace(at, id.size(), "\"module\":\"r1-t1-a2\""));
    const auto doubt = layout({"check", doubtful.string()});
    CHECK(doubt.exit_code == 0);
    CHECK_THAT(doubt.err, Contains("alias: module \"r1-t1-a2\": it is easily taken for \"R1-T1-A02\""));
    CHECK(layout({"check", doubtful.string(), "--strict"}).exit_code == 3);
    const auto refused =
        folder.write("refused.geojson", std::string(text).replace(at, id.size(), "\"module\":\"R1-T1-A02\""));
    const auto refusal = layout({"check", refused.string()});
    CHECK(refusal.exit_code == 1);
    CHECK_THAT(refusal.err, Contains("duplicate_id (analyse refuses this): module \"R1-T1-A02\""));
    CHECK_THAT(refusal.out, Contains("modules   80"));
    CHECK(layout({"check", (folder.path() / "none.geojson").string()}).exit_code == 1);
}

TEST_CASE("layout read: a layout read back is itself; what it says differs is refused by name", "[e2e]") {
    const TempFolder folder;
    const auto description = folder.write("quick.toml", kQuick);
    const fs::path first = folder.path() / "layout.geojson";
    const fs::path second = folder.path() / "again.geojson";
    REQUIRE(layout({"make", description.string(), first.string(), "-q"}).exit_code == 0);
    const auto read = layout({"read", first.string(), second.string()});
    INFO(read.err);
    REQUIRE(read.exit_code == 0);
    CHECK_THAT(read.out, Contains("modules   80") && Contains("strings   4: 4 of 20 modules"));
    const auto again = features_by_module(second);
    for (const auto& [id, feature] : features_by_module(first)) {
        CHECK(again.at(id).at("properties") == feature.at("properties"));
        const auto& ring = feature.at("geometry").at("coordinates").at(0);
        for (std::size_t corner = 0; corner < 5; ++corner) {
            CHECK(metres_between(again.at(id).at("geometry").at("coordinates").at(0).at(corner), ring.at(corner)) <
                  1e-3);
        }
    }
    const auto refused = layout({"read", first.string(), second.string(), "--overwrite", "--set", "tlt=20"});
    CHECK(refused.exit_code == 2);
    CHECK_THAT(refused.err, Contains("'tlt=20': there is no field 'tlt'. Did you mean 'tilt'?"));
    const auto unknown = layout({"read", first.string(), second.string(), "--overwrite", "--field", "module=ID"});
    CHECK(unknown.exit_code == 1);
    CHECK_THAT(unknown.err, Contains("no outline has a field 'ID'"));
    CHECK(layout({"read", first.string(), second.string(), "--overwrite", "--tables", "2by3"}).exit_code == 2);
    CHECK(layout({"read", first.string(), second.string(), "--overwrite", "--units", "mm"}).exit_code == 2);
    CHECK(layout({"read", first.string(), second.string(), "--overwrite", "--fit", "1,2"}).exit_code == 2);
    CHECK(features_by_module(second).size() == 80);
}

TEST_CASE("layout draw and layout types: sheets from the command line", "[e2e]") {
    const TempFolder folder;
    const auto description = folder.write("quick.toml", kQuick);
    const fs::path made = folder.path() / "layout.geojson";
    const fs::path plan = folder.path() / "plan.svg";
    REQUIRE(layout({"make", description.string(), made.string(), "-q"}).exit_code == 0);
    const auto drawn = layout({"draw", made.string(), plan.string(), "--title", "Trial corner"});
    INFO(drawn.err);
    REQUIRE(drawn.exit_code == 0);
    const std::string svg = text_of(plan);
    CHECK_THAT(svg, Contains(">Trial corner<") && Contains(">R2-S2<") && Contains(">22.00 kW<"));
    CHECK(layout({"draw", made.string(), plan.string()}).exit_code == 1);
    CHECK(layout({"draw", made.string(), plan.string(), "--title", "Trial corner", "--overwrite"}).exit_code == 0);
    CHECK(text_of(plan) == svg);
    const fs::path print = folder.path() / "plan.pdf";
    CHECK(layout({"draw", made.string(), print.string()}).exit_code == 0);
    CHECK_THAT(text_of(print), Catch::Matchers::StartsWith("%PDF-"));
    const auto kind = layout({"draw", made.string(), (folder.path() / "plan.dwg").string()});
    CHECK(kind.exit_code == 2);
    CHECK_THAT(kind.err, Contains("'.dwg'"));
    const auto types = layout({"types", "--json"});
    REQUIRE(types.exit_code == 0);
    const auto json = nlohmann::json::parse(types.out);
    CHECK(json.at("types").size() >= 12);
    // The picture in the documentation is what the command draws.
    const fs::path sheet = folder.path() / "types.svg";
    REQUIRE(layout({"types", "--draw", sheet.string()}).exit_code == 0);
    CHECK(text_of(sheet) == text_of(fs::path(HEATROW_PROJECT) / "docs" / "module-types" / "types.svg"));
    CHECK_THAT(layout({"types", "generic-60-ful"}).err, Contains("Did you mean \"generic-60-full\"?"));
}
