// Can the crew leave the site? The check of a whole survey, and of one that misses a part.
#include "survey_copy.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <map>

namespace fs = std::filesystem;
using namespace heatrow::testing;
using Catch::Matchers::Contains;

namespace {

nlohmann::json check_json(const SurveyCopy& copy) {
    const ProgramResult result = heatrow::testing::heatrow({"check", copy.survey().string(), "--json", "--quiet"});
    INFO(result.err);
    REQUIRE(result.exit_code == 0);
    return nlohmann::json::parse(result.out);
}

std::map<std::string, int> count_by(const nlohmann::json& check, const char* field) {
    std::map<std::string, int> counts;
    for (const auto& module : check["modules"]) {
        ++counts[module[field].get<std::string>()];
    }
    return counts;
}

}  // namespace

TEST_CASE("check: a whole survey is placed, and nothing is written") {
    const SurveyCopy copy("check-whole");
    const auto check = check_json(copy);
    CHECK(check["schema"] == "heatrow-check/1");
    CHECK(check["frames_placed"] == check["frames"]);
    CHECK(count_by(check, "placement") == std::map<std::string, int>{{"placed", 80}});
    CHECK(check["fit_px"]["p95"].get<double>() < 1.0);
    CHECK(nothing_was_written(copy));
}

TEST_CASE("check: what half of the frames do not show is to be taken again, and --strict says so") {
    const SurveyCopy copy("check-half");
    for (std::size_t i = 0; i < 6; ++i) {
        fs::remove(copy.survey() / "frames" / copy.frame(0));
    }
    const auto check = check_json(copy);
    const auto placements = count_by(check, "placement");
    REQUIRE(placements.contains("not_seen"));
    CHECK(count_by(check, "take_again").at("not_seen") == placements.at("not_seen"));

    const auto text =
        heatrow::testing::heatrow({"check", copy.survey().string(), "--placement", "--strict", "--quiet"});
    CHECK(text.exit_code == 3);
    CHECK_THAT(text.out, Contains(std::to_string(placements.at("not_seen")) + " not seen") && !Contains("again"));
}

TEST_CASE("check: no frame that can be used is an answer, not an error") {
    const SurveyCopy copy("check-none");
    replace_in_file(copy.survey() / "survey.toml", "height_px = ", "height_px = 1");
    const auto result = heatrow::testing::heatrow({"check", copy.survey().string(), "--quiet"});
    INFO(result.err);
    CHECK(result.exit_code == 0);
    CHECK_THAT(result.out, Contains("0 of 12 placed") && Contains("12 wrong_size") && Contains("80 not seen"));
}

TEST_CASE("check: a focal length that is eighty times too long ends soon, with nothing placed") {
    const SurveyCopy copy("check-focal");
    replace_in_file(copy.survey() / "survey.toml", "focal_px = ", "focal_px = 9");
    const auto result = heatrow::testing::heatrow({"check", copy.survey().string(), "--quiet"});
    INFO(result.err);
    CHECK(result.exit_code == 0);
    CHECK_THAT(result.out, Contains("0 of 12 placed"));
}
