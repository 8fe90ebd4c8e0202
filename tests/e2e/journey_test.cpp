// Whole journeys through the program on a rendered survey.
#include "survey_copy.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <fstream>
#include <map>
#include <sstream>

namespace fs = std::filesystem;
using namespace heatrow::testing;
using Catch::Matchers::Contains;

namespace {

std::vector<std::string> lines_of(const fs::path& file) {
    std::istringstream stream(read_text(file));
    std::vector<std::string> lines;
    for (std::string line; std::getline(stream, line);) {
        lines.push_back(line);
    }
    return lines;
}

nlohmann::json grade(const SurveyCopy& copy) {
    fs::copy(rendered_survey() / "truth", copy.folder() / "truth", fs::copy_options::recursive);
    const auto result = run_program(HEATROW_SCENE, {"grade", copy.folder().string(), copy.result().string(), "--json"});
    REQUIRE(result.exit_code == 0);
    return nlohmann::json::parse(result.out);
}

}  // namespace

TEST_CASE("analyse: frames to defect maps, and the grader finds them right", "[e2e]") {
    const SurveyCopy copy("journey");
    const auto result = copy.analyse({"--json"});
    INFO(result.err);
    REQUIRE(result.exit_code == 0);

    const auto summary = nlohmann::json::parse(result.out);
    CHECK(summary["frames_scored"] == summary["frames"]);
    CHECK(summary["modules_assessed"].get<int>() > 0);
    for (const char* name : {"survey.gpkg",
                             "findings.csv",
                             "modules.csv",
                             "report.html",
                             "report.pdf",
                             "manifest.json",
                             "tables/R1-T1.png"}) {
        CAPTURE(name);
        CHECK(fs::file_size(copy.result() / name) > 0);
    }
    CHECK(lines_of(copy.result() / "modules.csv").size() == summary["modules"].get<std::size_t>() + 1);
    CHECK(lines_of(copy.result() / "findings.csv").size() == summary["findings"].get<std::size_t>() + 1);

    const auto figures = grade(copy)["figures"];
    CAPTURE(figures.dump(2));
    CHECK(figures["views_wrong"]["value"] == 0.0);
    CHECK(figures["whole_views_named_rightly"]["value"].get<double>() >= 99.0);
    CHECK(figures["recall_in_scope"]["count"].get<int>() >= 4);
    CHECK(figures["recall_in_scope"]["value"] == 100.0);
    CHECK(figures["false_findings"]["value"] == 0.0);
}

TEST_CASE("analyse: the same bytes for one thread and for many", "[e2e]") {
    const SurveyCopy one("threads-one");
    const SurveyCopy many("threads-many");
    REQUIRE(one.analyse({"--threads", "1"}).exit_code == 0);
    REQUIRE(many.analyse({"--threads", "5"}).exit_code == 0);
    const auto a = files_of(one.result());
    const auto b = files_of(many.result());
    REQUIRE(a.size() == b.size());
    for (const auto& [name, bytes] : a) {
        CAPTURE(name);
        CHECK(b.at(name) == bytes);
    }
}

TEST_CASE("analyse: an earlier result is refused, then replaced on request", "[e2e]") {
    const SurveyCopy copy("overwrite");
    REQUIRE(copy.analyse().exit_code == 0);
    const auto before = files_of(copy.result());

    const auto refused = copy.analyse();
    CHECK(refused.exit_code == 1);
    CHECK_THAT(refused.err, Contains("--overwrite") && Contains("result"));
    CHECK(files_of(copy.result()) == before);

    CHECK(copy.analyse({"--overwrite"}).exit_code == 0);
    CHECK(files_of(copy.result()) == before);
}

TEST_CASE("analyse: a folder that is no result is never replaced", "[e2e]") {
    const SurveyCopy copy("foreign-folder");
    fs::create_directories(copy.result());
    write_text(copy.result() / "holiday.txt", "keep me");
    const auto result = copy.analyse({"--overwrite"});
    CHECK(result.exit_code == 1);
    CHECK(read_text(copy.result() / "holiday.txt") == "keep me");
}

TEST_CASE("analyse: an interrupt ends with 130 and leaves nothing", "[e2e]") {
    const SurveyCopy copy("interrupt");
    const auto result =
        run_program(HEATROW_PROGRAM,
                    {"analyse", copy.survey().string(), "--out", copy.result().string(), "--threads", "1"},
                    "scouting the flight");
    CHECK(result.exit_code == 130);
    CHECK_THAT(result.err, Contains("interrupted"));
    CHECK(nothing_was_written(copy));
}

TEST_CASE("analyse: below the least irradiance nothing is scored and nothing is called healthy", "[e2e]") {
    const SurveyCopy copy("dim");
    // Half the irradiance, in every row of the log.
    std::istringstream log(read_text(copy.survey() / "conditions.csv"));
    std::string header;
    std::getline(log, header);
    std::size_t column = 0;
    std::istringstream names(header);
    for (std::string name; std::getline(names, name, ',') && name != "poa_global";) {
        ++column;
    }
    std::string dim = header + "\n";
    for (std::string line; std::getline(log, line);) {
        std::istringstream cells(line);
        std::string cell;
        for (std::size_t i = 0; std::getline(cells, cell, ','); ++i) {
            dim += (i == 0 ? "" : ",") + (i == column ? std::string("480") : cell);
        }
        dim += "\n";
    }
    write_text(copy.survey() / "conditions.csv", dim);

    const auto result = copy.analyse({"--json", "--strict"});
    CHECK(result.exit_code == 3);
    const auto summary = nlohmann::json::parse(result.out);
    CHECK(summary["frames_scored"] == 0);
    CHECK(summary["modules_assessed"] == 0);
    CHECK(summary["findings"] == 0);
    CHECK_THAT(result.err, Contains("irradiance"));
    const auto modules = lines_of(copy.result() / "modules.csv");
    REQUIRE_THAT(modules.front(), Catch::Matchers::StartsWith("module,string,table,assessed,assessed_reason,"));
    for (std::size_t i = 1; i < modules.size(); ++i) {
        CHECK_THAT(modules[i], Contains(",no,irradiance_below_minimum,"));
    }
}

TEST_CASE("review: what was decided survives a re-run over the same result folder", "[e2e]") {
    const SurveyCopy copy("review-again");
    REQUIRE(copy.analyse().exit_code == 0);
    const std::string row = lines_of(copy.result() / "findings.csv").at(1);
    const std::string id = row.substr(0, row.find(','));
    const auto manifest = nlohmann::json::parse(read_text(copy.result() / "manifest.json"));
    const nlohmann::json decisions = {{"format", "heatrow-decisions"},
                                      {"format_version", 1},
                                      {"survey", manifest["survey"]["id"]},
                                      {"decisions",
                                       {{{"finding", id},
                                         {"verdict", "confirmed"},
                                         {"comment", "seen on site"},
                                         {"reviewer", "A. Reviewer"},
                                         {"reviewed_utc", "2026-06-20T10:00:00Z"}}}}};
    const fs::path file = copy.folder() / "field.json";
    write_text(file, decisions.dump());
    const auto applied =
        heatrow::testing::heatrow({"review", "apply", copy.result().string(), file.string(), "--overwrite"});
    INFO(applied.err);
    REQUIRE(applied.exit_code == 0);

    const auto again = copy.analyse({"--overwrite"});
    REQUIRE(again.exit_code == 0);
    CHECK_THAT(again.err, Contains("1 findings with decisions are there again, 0 are not"));
    const auto shown =
        nlohmann::json::parse(heatrow::testing::heatrow({"review", "show", copy.result().string(), "--json"}).out);
    REQUIRE(shown["log"].size() == 1);
    CHECK(shown["log"][0]["finding"] == id);
    CHECK(shown["all"]["confirmed"] == 1);
    CHECK_THAT(lines_of(copy.result() / "findings.csv").at(1), Contains(",confirmed,"));
}
