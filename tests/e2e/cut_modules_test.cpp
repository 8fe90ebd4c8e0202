// Modules that the picture's border cuts in every frame, and such as a shadow cuts: what is seen of them is told, the
// rest is not called healthy.
#include "support/csv_rows.hpp"
#include "survey_copy.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <filesystem>
#include <map>
#include <set>
#include <string>

using namespace heatrow::testing;
using Catch::Matchers::Contains;
namespace fs = std::filesystem;

namespace {

// The ends of both rows: the scene's flight turns back too early.
bool is_end(const std::string& module) {
    return module.ends_with("T1-A01") || module.ends_with("T1-B01") || module.ends_with("T2-A11") ||
           module.ends_with("T2-B11");
}

constexpr const char* kHole = "R2-T2-B11";  // drawn, and not there

}  // namespace

TEST_CASE("cut modules: their visible halves are looked at and reported, and they are not assessed", "[e2e]") {
    const SurveyCopy copy("cut-modules", fs::path(HEATROW_E2E_WORK) / "rendered-cut-ends");
    const auto analysed = copy.analyse();
    INFO(analysed.err);
    REQUIRE(analysed.exit_code == 0);

    int ends = 0;
    for (const CsvRow& row : csv_rows(copy.result() / "modules.csv")) {
        const std::string& module = row.at("module");
        INFO(module << ": " << row.at("assessed_reason"));
        if (!is_end(module)) {
            CHECK(row.at("assessed") == "yes");
            CHECK(row.at("seen") == "yes");
            CHECK(row.at("cells_seen") == "60");
            continue;
        }
        ++ends;
        CHECK(row.at("assessed") == "no");
        CHECK(row.at("class").empty());
        if (module == kHole) {
            CHECK(row.at("assessed_reason") != "");
            continue;
        }
        CHECK(row.at("assessed_reason") == "seen_in_part");
        CHECK(row.at("seen") == "in_part");
        CHECK(std::stoi(row.at("cells_seen")) >= 20);
        CHECK(std::stoi(row.at("cells_seen")) <= 45);
    }
    CHECK(ends == 8);

    // The faults in the inner halves, and none in the outer ones or of its own making.
    std::map<std::string, std::string> found;
    for (const CsvRow& row : csv_rows(copy.result() / "findings.csv")) {
        if (is_end(row.at("module"))) {
            // Which way a substring is open or bypassed is no matter here.
            found[row.at("module")] = row.at("pattern").starts_with("substring_") ? "substring" : row.at("pattern");
            CHECK_THAT(row.at("flags"), Contains("seen_in_part"));
            CHECK_THAT(row.at("evidence"), Contains("no frame shows the whole module"));
        } else {
            CHECK(row.at("pattern") == "hot_cell");
        }
    }
    found.erase(kHole);
    CHECK(found == std::map<std::string, std::string>{
                       {"R1-T1-A01", "hot_cell"}, {"R1-T2-A11", "substring"}, {"R2-T1-A01", "open_circuit_module"}});
    CHECK_THAT(read_text(copy.result() / "report.html"), Contains("cut by the border of every frame"));

    const auto check =
        nlohmann::json::parse(heatrow::testing::heatrow({"check", copy.survey().string(), "--json", "--quiet"}).out);
    int again = 0;
    for (const auto& module : check["modules"]) {
        again += module["take_again"] == "seen_in_part" ? 1 : 0;
        CHECK((module["take_again"] != "seen_in_part" || is_end(module["module"])));
    }
    CHECK(again >= 7);
}

TEST_CASE("cut modules: a shadow that no drawing tells of cuts modules, and they are not called faults", "[e2e]") {
    const SurveyCopy copy("wall-shade", fs::path(HEATROW_E2E_WORK) / "rendered-wall-shade");
    const auto analysed = copy.analyse();
    INFO(analysed.err);
    REQUIRE(analysed.exit_code == 0);
    // The wall's shadow lies on the lower cells of A03 to A10, and on a corner of A02.
    const auto in_shadow = [](const std::string& module) {
        return module.starts_with("R1-T1-A") && module >= "R1-T1-A02" && module <= "R1-T1-A10";
    };
    int shaded = 0;
    for (const CsvRow& row : csv_rows(copy.result() / "modules.csv")) {
        INFO(row.at("module") << ": " << row.at("assessed_reason"));
        CHECK((row.at("assessed") == "yes" || in_shadow(row.at("module"))));
        shaded += row.at("assessed_reason") == "shaded" ? 1 : 0;
    }
    CHECK(shaded >= 7);
    std::set<std::string> found;
    for (const CsvRow& row : csv_rows(copy.result() / "findings.csv")) {
        INFO(row.at("finding") << ": " << row.at("evidence"));
        if (in_shadow(row.at("module"))) {
            CHECK(row.at("pattern") == "shading");
        } else {
            found.insert(row.at("module"));
        }
    }
    CHECK(found == std::set<std::string>{"R2-T1-A05", "R2-T1-A08", "R2-T2-A02", "R2-T2-A06", "R2-T2-A09", "R2-T2-B07"});
    // The line moves no outline: every frame is placed as without it.
    const auto check =
        nlohmann::json::parse(heatrow::testing::heatrow({"check", copy.survey().string(), "--json", "--quiet"}).out);
    CHECK(check["frames_placed"] == check["frames"]);
    CHECK(check["fit_px"]["p95"].get<double>() < 1.0);
}
