// `compare` from the outside, on two years of the invented survey.
#include "support/csv_rows.hpp"
#include "support/program.hpp"
#include "support/sample_result.hpp"
#include "support/temp_folder.hpp"
#include "support/text_file.hpp"

#include <catch2/catch.hpp>
#include <gdal_priv.h>
#include <nlohmann/json.hpp>
#include <ogrsf_frmts.h>

#include <chrono>
#include <fstream>

namespace fs = std::filesystem;
using namespace heatrow::testing;
using Catch::Matchers::Contains;
using Json = nlohmann::json;

namespace {

ProgramResult run(const std::vector<std::string>& arguments) {
    return run_program(HEATROW_PROGRAM, arguments);
}

// A year later the cell of S1-M3 is repaired and a substring that no finding names is warm.
void a_year_later(heatrow::SurveyRecord& record) {
    record.survey_id = "sample-2027-06";
    for (heatrow::FrameResult& frame : record.frames) {
        frame.prior.time += std::chrono::hours(24 * 365);
    }
    heatrow::ModuleResult& repaired = record.modules[2];
    repaired.cells[21].delta_t.value = heatrow::KelvinDelta(0.2);
    std::erase_if(record.findings, [](const heatrow::Finding& finding) { return finding.id == "F-1-3-hot_cell"; });
    repaired.abnormality = heatrow::AbnormalityClass::none;
    for (const int cell : record.layout.types[0].cells_of_substring(2)) {
        record.modules[1].cells[static_cast<std::size_t>(cell)].delta_t.value += heatrow::KelvinDelta(5.0);
    }
}

struct Workplace {
    TempFolder temp;
    fs::path first = temp.path() / "first";
    fs::path second = temp.path() / "second";
    fs::path out = temp.path() / "changes";
    Workplace() {
        write_sample_result(first);
        write_sample_result(second, {}, a_year_later);
    }
};

}  // namespace

TEST_CASE("compare: page, tables and map of two years", "[e2e]") {
    const Workplace place;
    // In the wrong order: the times decide.
    const auto done = run({"compare", place.second.string(), place.first.string(), "--out", place.out.string()});
    INFO(done.err);
    REQUIRE(done.exit_code == 0);
    CHECK_THAT(done.err, Contains("order") && Contains("sample-2027-06"));
    CHECK_THAT(done.out, Contains("gone") && Contains("S1-M3 cell r4c4") && Contains("found in 95 %"));
    bool gone = false;
    bool warmer = false;
    for (CsvRow& row : csv_rows(place.out / "changes.csv")) {
        gone = gone || (row["kind"] == "gone" && row["module"] == "S1-M3" && row["class_before"] == "3");
        warmer = warmer || (row["kind"] == "grown" && row["module"] == "S1-M2" && row["substrings"] == "2" &&
                            row["searched"] == "yes");
    }
    CHECK(gone);
    CHECK(warmer);
    CHECK(csv_rows(place.out / "steps.csv").size() == 1);
    const std::string page = text_of(place.out / "changes.html");
    CHECK_THAT(page, Contains("What changed") && Contains("S1-M3") && !Contains("<script"));
    CHECK_THAT(page, !Contains("<b>\"&,=cmd()'"));  // an id is data

    GDALAllRegister();
    const GDALDatasetUniquePtr map(
        GDALDataset::Open((place.out / "changes.gpkg").c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY));
    REQUIRE(map);
    CHECK(map->GetLayerByName("changed_modules")->GetFeatureCount() == 25);
    CHECK(map->GetLayerByName("changes")->GetFeatureCount() > 1);
    CHECK(map->GetLayerByName("layer_styles") != nullptr);

    // The same again gives the same bytes, from the files alone too.
    const std::map<std::string, std::string> before = files_of(place.out);
    const auto again = run({"compare",
                            (place.first / "survey.gpkg").string(),
                            (place.second / "survey.gpkg").string(),
                            "--out",
                            place.out.string(),
                            "--overwrite"});
    CHECK(again.exit_code == 0);
    CHECK(files_of(place.out) == before);
}

TEST_CASE("compare: JSON and the strict exit code", "[e2e]") {
    const Workplace place;
    const auto done = run({"compare", place.first.string(), place.second.string(), "--json", "--strict"});
    CHECK(done.exit_code == 3);  // modules were not comparable, and one is warmer
    const Json json = Json::parse(done.out);
    CHECK(json["schema"] == "heatrow-compare/1");
    CHECK(json["steps"][0]["counts"]["gone"] == 1);
    CHECK(json["steps"][0]["modules_not_comparable"].get<int>() > 0);
    CHECK(json["steps"][0]["detectable_k"]["substring"].get<double>() > 0.0);
}

TEST_CASE("compare: what cannot be compared is refused with the reason", "[e2e]") {
    const Workplace place;
    const auto refused =
        [](const std::vector<std::string>& arguments, int code, const std::vector<std::string>& words) {
            const auto done = run(arguments);
            CHECK(done.exit_code == code);
            CHECK(done.out.empty());
            for (const std::string& word : words) {
                CHECK_THAT(done.err, Contains(word));
            }
        };
    const std::string first = place.first.string();
    refused({"compare", first}, 2, {"only one"});
    refused({"compare", first, first}, 2, {"the same survey", "2026-06-17"});
    refused({"compare", first, (place.temp.path() / "nothing").string()}, 1, {"nothing", "no such file"});
    refused({"compare", first, place.second.string(), "--profile", "none-such"}, 2, {"none-such"});
    const fs::path elsewhere = place.temp.path() / "elsewhere";
    write_sample_result(elsewhere, {}, [](heatrow::SurveyRecord& record) {
        a_year_later(record);
        record.layout.origin.latitude_deg += 0.01;
        for (heatrow::Module& module : record.layout.modules) {
            module.id = "X" + module.id;
        }
    });
    refused({"compare", first, elsewhere.string()}, 1, {"one site", "sample-2027-06"});
    fs::create_directory(place.out);
    std::ofstream(place.out / "mine.txt") << "mine";
    refused({"compare", first, place.second.string(), "--out", place.out.string(), "--overwrite"}, 1, {"changes"});
    CHECK(fs::exists(place.out / "mine.txt"));
}
