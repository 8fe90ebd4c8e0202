// Runs that go on from the slot records of earlier ones (docs/formats/slot-records.md).
#include "survey_copy.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <signal.h>

#include <map>

namespace fs = std::filesystem;
using namespace heatrow::testing;
using Catch::Matchers::Contains;

namespace {

fs::path records_of(const SurveyCopy& copy) {
    for (const auto& entry : fs::directory_iterator(copy.folder() / "heatrow-cache")) {
        if (entry.path().extension() == ".slots") {
            return entry.path();
        }
    }
    return {};
}

int frames_measured_before(const ProgramResult& result) {
    INFO(result.err);
    REQUIRE(result.exit_code == 0);
    return nlohmann::json::parse(result.out)["frames_measured_before"].get<int>();
}

int frame_count(const SurveyCopy& copy) {
    const auto frames = fs::directory_iterator(copy.survey() / "frames");
    return static_cast<int>(std::distance(begin(frames), end(frames)));
}

// Analyses from kept records and without any: every file must be the same. How many frames were kept.
int analyse_both_ways(const SurveyCopy& copy) {
    const int kept = frames_measured_before(copy.analyse({"--json", "--overwrite"}));
    const auto from_records = files_of(copy.result());
    CHECK(frames_measured_before(copy.analyse({"--json", "--overwrite", "--no-cache"})) == 0);
    const auto anew = files_of(copy.result());
    REQUIRE(from_records.size() == anew.size());
    for (const auto& [name, bytes] : anew) {
        CAPTURE(name);
        CHECK(from_records.at(name) == bytes);
    }
    return kept;
}

}  // namespace

TEST_CASE("slot records: a second run measures no frame and says so, with the same bytes", "[e2e]") {
    const SurveyCopy copy("records-again");
    CHECK(frames_measured_before(copy.analyse({"--json"})) == 0);
    CHECK(fs::is_regular_file(copy.folder() / "heatrow-cache" / "CACHEDIR.TAG"));
    CHECK(analyse_both_ways(copy) == frame_count(copy));
    const auto again = copy.analyse({"--overwrite"});
    CHECK_THAT(again.err, Contains("frames were measured in an earlier run: " + records_of(copy).string()));
}

TEST_CASE("slot records: what is not about pixels may change", "[e2e]") {
    const SurveyCopy copy("records-judged");
    REQUIRE(copy.analyse().exit_code == 0);
    const fs::path profile = copy.survey() / "own.toml";
    fs::copy(fs::path(HEATROW_PROJECT) / "docs/profiles/field-practice.toml", profile);
    replace_in_file(profile, "minimum_pixels_per_cell = { value = 5", "minimum_pixels_per_cell = { value = 6");
    replace_in_file(profile, "maximum_smear_px = { value = 1.0", "maximum_smear_px = { value = 0.5");
    const fs::path settings = copy.survey() / "survey.toml";
    replace_in_file(settings, "id = \"quick\"", "id = \"quick\"\nprofile = \"own\"");
    replace_in_file(settings, "emissivity = 0.8800", "emissivity = 0.9000");
    replace_in_file(settings, "reflected_c = -20.00", "reflected_c = -30.00");
    replace_in_file(settings, "noise_k = 0.0500", "noise_k = 0.0400");
    CHECK(analyse_both_ways(copy) == frame_count(copy));
}

TEST_CASE("slot records: what pixels are measured by throws them away", "[e2e]") {
    const SurveyCopy copy("records-thrown");
    REQUIRE(copy.analyse().exit_code == 0);
    const fs::path frames = copy.survey() / "frames";
    // Not a frame that was written anew with the same bytes.
    write_text(frames / copy.frame(4), read_text(frames / copy.frame(4)));
    CHECK(frames_measured_before(copy.analyse({"--json", "--overwrite"})) == frame_count(copy));
    // Another frame's bytes: it, and all that the alignment it has a part in placed.
    write_text(frames / copy.frame(4), read_text(frames / copy.frame(5)));
    CHECK(analyse_both_ways(copy) < frame_count(copy));
    replace_in_file(copy.survey() / "survey.toml", "blur_sigma_px = 0.5000", "blur_sigma_px = 0.5500");
    CHECK(analyse_both_ways(copy) == 0);
}

TEST_CASE("slot records: a run killed anywhere is taken up by the next one, with the same bytes", "[e2e]") {
    const SurveyCopy copy("records-killed");
    REQUIRE(copy.analyse({"--no-cache"}).exit_code == 0);
    const auto expected = files_of(copy.result());
    fs::remove_all(copy.result());
    for (const std::string at : {"scouting the flight", "measuring frames", "fusing modules", "drawing tables"}) {
        CAPTURE(at);
        const auto killed =
            run_program(HEATROW_PROGRAM,
                        {"analyse", copy.survey().string(), "--out", copy.result().string(), "--threads", "2"},
                        at,
                        SIGKILL);
        REQUIRE(killed.exit_code == 128 + SIGKILL);
        CHECK_FALSE(fs::exists(copy.result()));
    }
    CHECK(frames_measured_before(copy.analyse({"--json"})) == frame_count(copy));
    CHECK(files_of(copy.result()) == expected);

    // As a kill in the middle of the pass leaves it, and of a record.
    const fs::path records = records_of(copy);
    fs::resize_file(records, fs::file_size(records) * 2 / 5);
    const int kept = frames_measured_before(copy.analyse({"--json", "--overwrite"}));
    CHECK(kept > 0);
    CHECK(kept < frame_count(copy));
    CHECK(files_of(copy.result()) == expected);
}

TEST_CASE("slot records: kept where the user says, or not at all", "[e2e]") {
    const SurveyCopy copy("records-where");
    const fs::path elsewhere = copy.folder() / "elsewhere";
    REQUIRE(copy.analyse({"--cache", elsewhere.string()}).exit_code == 0);
    CHECK(fs::is_directory(elsewhere));
    REQUIRE(copy.analyse({"--no-cache", "--overwrite"}).exit_code == 0);
    CHECK_FALSE(fs::exists(copy.folder() / "heatrow-cache"));
    CHECK(copy.analyse({"--no-cache", "--cache", elsewhere.string(), "--overwrite"}).exit_code == 2);

    const auto refused = copy.analyse({"--cache", (copy.survey() / "survey.toml").string(), "--overwrite"});
    CHECK(refused.exit_code == 1);
    CHECK_THAT(refused.err, Contains("--no-cache"));
}
