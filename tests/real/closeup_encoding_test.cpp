// Close-ups of modules, 0.40 K per count (SOURCES.md of the data).
#include "heatrow/io/frame_inspection.hpp"
#include "heatrow/io/frame_set.hpp"
#include "heatrow/io/profile_reader.hpp"
#include "real_data.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;

namespace {

Profile field_practice() {
    return read_profile(HEATROW_SOURCE_DIR "/docs/profiles/field-practice.toml");
}

TemperatureEncoding kelvin_per_count(double scale) {
    TemperatureEncoding encoding;
    encoding.scale = scale;
    encoding.offset = -273.15;
    return encoding;
}

}  // namespace

TEST_CASE("inspect: close-ups show the temperatures of their declared encoding and stop on a wrong factor", "[real]") {
    const Profile profile = field_practice();
    const auto frames = list_frames(real::folder(), "*.tif");
    REQUIRE(frames.size() == 8);
    for (const FrameFile& frame : frames) {
        INFO(frame.name);
        const FrameInspection facts = inspect_frame(frame.path, std::nullopt, profile);
        REQUIRE_FALSE(facts.rejection);
        CHECK(facts.width_px == 640);
        CHECK(facts.height_px == 512);
        CHECK(facts.counts.nodata == 0);

        const auto right = check_plausible(facts.counts, false, kelvin_per_count(0.40), profile);
        REQUIRE(right);
        // December, low sun: modules between freezing and 70 degC.
        CHECK(right->low.value() > 0.0);
        CHECK(right->high.value() < 70.0);
        CHECK(right->median.value() == Approx(0.40 * facts.counts.median - 273.15));
        for (const double wrong : {0.04, 0.1, 0.01, 4.0}) {
            const auto stopped = check_plausible(facts.counts, false, kelvin_per_count(wrong), profile);
            REQUIRE_FALSE(stopped);
            CHECK(stopped.error().reason == RejectReason::implausible_range);
            CHECK_THAT(stopped.error().detail, Catch::Contains("0.4 K per count"));
        }
        REQUIRE_FALSE(facts.guesses.empty());
        CHECK(facts.guesses.front().name == "0.4 K per count");
        CHECK_FALSE(is_ambiguous(facts.guesses));
    }
}

TEST_CASE("inspect: close-ups hold the counts that the data's description gives", "[real]") {
    const auto facts = inspect_frame(real::folder() / "closeup_01.tif", std::nullopt, field_practice());
    CHECK(facts.counts.minimum == 724.0);  // as GDAL 3.6 reads it
    CHECK(facts.counts.maximum == 801.0);
}
