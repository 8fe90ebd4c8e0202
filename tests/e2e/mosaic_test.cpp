// An orthomosaic in place of frames, from the raster to the report.
#include "survey_copy.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <filesystem>

namespace fs = std::filesystem;
using namespace heatrow::testing;
using Catch::Contains;

TEST_CASE("mosaic: every module is named and its faults are found in it, its limits are said", "[e2e]") {
    const fs::path rendered = fs::path(HEATROW_E2E_WORK) / "rendered-mosaic";
    const SurveyCopy copy("mosaic", rendered);
    const auto result = copy.analyse({"--json", "--quiet"});
    INFO(result.err);
    REQUIRE(result.exit_code == 0);

    fs::copy(rendered / "truth", copy.folder() / "truth", fs::copy_options::recursive);
    const auto graded = run_program(HEATROW_SCENE, {"grade", copy.folder().string(), copy.result().string(), "--json"});
    REQUIRE(graded.exit_code == 0);
    const auto figures = nlohmann::json::parse(graded.out)["figures"];
    INFO(figures.dump(1));
    CHECK(figures["whole_views_named_rightly"]["count"] == 48);  // one view a module, though tiles overlap
    CHECK(figures["whole_views_named_rightly"]["value"] == 100.0);
    CHECK(figures["views_wrong"]["count"] == 48);
    CHECK(figures["views_wrong"]["value"] == 0.0);
    CHECK(figures["outline_error_median"]["value"].get<double>() < 0.3);
    CHECK(figures["recall_in_scope"]["value"] == 100.0);
    CHECK(figures["false_findings"]["value"] == 0.0);

    const std::string manifest = read_text(copy.result() / "manifest.json");
    CHECK_THAT(manifest, Contains("\"orthomosaic\""));
    CHECK_THAT(read_text(copy.result() / "report.html"), Contains("An orthomosaic stands in for frames"));
    CHECK_THAT(read_text(copy.result() / "findings.csv"), Contains("lower_bound"));  // how its pictures blur is lost
}

TEST_CASE("mosaic: what is no raster of temperatures over the layout is refused, with the remedy", "[e2e]") {
    const SurveyCopy copy("mosaic-bad", fs::path(HEATROW_E2E_WORK) / "rendered-mosaic");
    const auto complaint = [&] {
        const auto result = copy.analyse({"--quiet"});
        CHECK(result.exit_code == 1);
        CHECK(nothing_was_written(copy));
        return result.err;
    };
    const fs::path raster = copy.survey() / "mosaic.tif";
    const std::string bytes = read_text(raster);
    write_text(raster, bytes.substr(0, 40));
    CHECK_THAT(complaint(), Contains("no GeoTIFF that can be read"));
    fs::remove(raster);
    CHECK_THAT(complaint(), Contains("no such file"));
    write_text(raster, bytes);
    // Another site: the layout moves away.
    const auto layout = copy.survey() / "layout.geojson";
    std::string text = read_text(layout);
    for (std::size_t at = text.find("-4.73"); at != std::string::npos; at = text.find("-4.73", at)) {
        text.replace(at, 5, "-4.83");
    }
    write_text(layout, text);
    replace_in_file(copy.survey() / "survey.toml", "longitude = -4.731", "longitude = -4.831");
    CHECK_THAT(complaint(), Contains("shows nothing of the layout"));
}
