// `heatrow layout draft` from the outside: a field flown over and a roof by hand, without any drawing.
#include "survey_copy.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

using namespace heatrow::testing;
using Catch::Matchers::Contains;
namespace fs = std::filesystem;

namespace {

ProgramResult run(const std::vector<std::string>& arguments) {
    return heatrow::testing::heatrow(arguments);
}

// Middle of each module, m east and north of a place on site.
std::map<std::string, std::pair<double, double>> places_of(const fs::path& layout) {
    std::map<std::string, std::pair<double, double>> places;
    const auto json = nlohmann::json::parse(read_text(layout));
    constexpr double kMetresPerDegree = 111320.0;
    double first_latitude = HUGE_VAL;
    for (const auto& feature : json.at("features")) {
        double longitude = 0.0;
        double latitude = 0.0;
        for (int i = 0; i < 4; ++i) {
            const auto& corner = feature.at("geometry").at("coordinates").at(0).at(static_cast<std::size_t>(i));
            longitude += corner.at(0).get<double>() / 4.0;
            latitude += corner.at(1).get<double>() / 4.0;
        }
        first_latitude = std::isinf(first_latitude) ? latitude : first_latitude;
        places[feature.at("properties").at("module")] = {
            longitude * kMetresPerDegree * std::cos(first_latitude * M_PI / 180.0), latitude * kMetresPerDegree};
    }
    return places;
}

// Largest distance between modules of one id, once their means lie on one another.
double worst_distance(const fs::path& a, const fs::path& b) {
    const auto first = places_of(a);
    const auto second = places_of(b);
    double east = 0.0;
    double north = 0.0;
    for (const auto& [id, place] : first) {
        if (!second.contains(id)) {
            return HUGE_VAL;
        }
        east += (second.at(id).first - place.first) / static_cast<double>(first.size());
        north += (second.at(id).second - place.second) / static_cast<double>(first.size());
    }
    double worst = 0.0;
    for (const auto& [id, place] : first) {
        worst = std::max(
            worst, std::hypot(second.at(id).first - place.first - east, second.at(id).second - place.second - north));
    }
    return worst;
}

std::vector<std::string> column(const fs::path& csv, std::size_t index) {
    std::vector<std::string> values;
    std::ifstream file(csv);
    std::string line;
    std::getline(file, line);
    while (std::getline(file, line)) {
        std::istringstream fields(line);
        std::string field;
        for (std::size_t i = 0; i <= index; ++i) {
            std::getline(fields, field, ',');
        }
        values.push_back(field);
    }
    return values;
}

}  // namespace

TEST_CASE("layout draft: a field without a drawing, from its frames to its findings", "[e2e]") {
    const SurveyCopy copy("draft-field");
    const fs::path layout = copy.survey() / "layout.geojson";
    fs::remove(layout);
    const auto result = run({"layout", "draft", copy.survey().string(), layout.string(), "--type", "generic-60-full"});
    INFO(result.out << result.err);
    REQUIRE(result.exit_code == 0);
    CHECK_THAT(result.out, Contains("modules   80") && Contains("tables    4: 4 of 20 modules"));
    CHECK_THAT(result.out, Contains("12 looked at, 12 with modules, 12 joined"));
    CHECK_THAT(result.err, Contains("To be corrected by hand"));
    // Numbered as the rendered site is; the bias of the log is nobody's to know.
    CHECK(worst_distance(layout, rendered_survey() / "layout.geojson") < 0.2);

    const auto checked = run({"layout", "check", layout.string(), "--strict"});
    INFO(checked.err);
    CHECK(checked.exit_code == 0);

    const auto analysed = copy.analyse();
    INFO(analysed.err);
    REQUIRE(analysed.exit_code == 0);
    const auto found = column(copy.result() / "findings.csv", 1);
    const std::set<std::string> planted{"R1-T1-A07", "R2-T2-B07", "R1-T2-B07", "R2-T1-A02"};
    for (const std::string& module : planted) {
        INFO(module);
        CHECK(std::find(found.begin(), found.end(), module) != found.end());
    }
    CHECK(found.size() == planted.size());

    const std::string first = read_text(layout);
    CHECK(run({"layout", "draft", copy.survey().string(), layout.string(), "--type", "generic-60-full"}).exit_code ==
          1);
    const auto again = run({"layout",
                            "draft",
                            copy.survey().string(),
                            layout.string(),
                            "--type",
                            "generic-60-full",
                            "--overwrite",
                            "--threads",
                            "1",
                            "--json"});
    REQUIRE(again.exit_code == 0);
    CHECK(read_text(layout) == first);
    const auto json = nlohmann::json::parse(again.out);
    CHECK(json.at("schema") == "heatrow-layout-draft/1");
    CHECK(json.at("modules") == 80);
    CHECK(json.at("tables").size() == 4);
    for (const auto& table : json.at("tables")) {
        CHECK(std::abs(table.at("tilt").get<double>() - 25.0) < 1.5);
        CHECK(std::abs(table.at("azimuth").get<double>() - 180.0) < 1.5);
    }
}

TEST_CASE("layout draft: a roof by hand, from one frame to its findings", "[e2e]") {
    const SurveyCopy copy("draft-roof", rendered_roof());
    const fs::path layout = copy.survey() / "layout.geojson";
    fs::remove(layout);
    const auto unposed = run({"layout", "draft", copy.survey().string(), layout.string(), "--type", "generic-60-full"});
    CHECK(unposed.exit_code == 1);
    CHECK_THAT(unposed.err, Contains("none of its 9 frames has a pose") && Contains("--frame"));
    CHECK_FALSE(fs::exists(layout));

    const auto result = run({"layout",
                             "draft",
                             copy.survey().string(),
                             layout.string(),
                             "--type",
                             "generic-60-full",
                             "--frame",
                             copy.frame(0),
                             "--tilt",
                             "35",
                             "--azimuth",
                             "180"});
    INFO(result.out << result.err);
    REQUIRE(result.exit_code == 0);
    CHECK_THAT(result.out, Contains("modules   30") && Contains("R1-T1: 30 modules in 3 x 10"));
    CHECK(run({"layout", "check", layout.string(), "--strict"}).exit_code == 0);

    // Ids as on site, by hand: the rendered roof writes M before them.
    std::string text = read_text(layout);
    for (auto at = text.find("\"R1-T1"); at != std::string::npos; at = text.find("\"R1-T1", at + 2)) {
        text.insert(at + 1, "M");
    }
    write_text(layout, text);
    CHECK(worst_distance(layout, rendered_roof() / "layout.geojson") < 0.02);
    const auto analysed = copy.analyse();
    INFO(analysed.err);
    REQUIRE(analysed.exit_code == 0);
    const auto found = column(copy.result() / "findings.csv", 1);
    const auto planted = column(rendered_roof() / "truth" / "faults.csv", 1);
    CHECK(found.size() == 4);
    for (const std::string& module : found) {
        INFO(module);
        CHECK(std::find(planted.begin(), planted.end(), module) != planted.end());
    }
}

TEST_CASE("layout draft: what it cannot work with is refused, and nothing is written", "[e2e]") {
    const SurveyCopy copy("draft-refused");
    const fs::path out = copy.folder() / "draft.geojson";
    const auto draft = [&](std::vector<std::string> more) {
        more.insert(more.begin(), {"layout", "draft", copy.survey().string(), out.string()});
        return run(more);
    };
    const auto untyped = draft({});
    CHECK(untyped.exit_code == 2);
    CHECK_THAT(untyped.err, Contains("--type"));
    const auto unknown = draft({"--type", "generic-61-full"});
    CHECK(unknown.exit_code == 1);
    CHECK_THAT(unknown.err, Contains("generic-61-full"));
    const auto half_told = draft({"--type", "generic-60-full", "--frame", copy.frame(0)});
    CHECK(half_told.exit_code == 2);
    CHECK_THAT(half_told.err, Contains("--tilt") || Contains("--azimuth"));
    const auto no_frame =
        draft({"--type", "generic-60-full", "--frame", "none.tif", "--tilt", "25", "--azimuth", "180"});
    CHECK(no_frame.exit_code == 2);
    CHECK_THAT(no_frame.err, Contains("none.tif") && Contains("no such frame"));
    // Strips of thin film have another ratio of width to height than what the frames show.
    const auto other =
        draft({"--type", "generic-96-thin-film", "--frame", copy.frame(4), "--tilt", "25", "--azimuth", "180"});
    CHECK(other.exit_code == 1);
    CHECK_THAT(other.err, Contains("no frame shows a grid") && Contains("--type"));
    replace_in_file(copy.survey() / "survey.toml", "origin = {", "# origin = {");
    const auto nowhere = draft({"--type", "generic-60-full"});
    CHECK(nowhere.exit_code == 2);
    CHECK_THAT(nowhere.err, Contains("site.origin"));
    CHECK_FALSE(fs::exists(out));
}
