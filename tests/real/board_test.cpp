// 8-bit frames of a heated board (SOURCES.md of the data).
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

}  // namespace

TEST_CASE("inspect: frames of the board are refused as not radiometric, with the reason", "[real]") {
    const Profile profile = field_practice();
    const auto frames = list_frames(real::folder(), "*.jpg");
    REQUIRE(frames.size() == 16);
    for (const FrameFile& frame : frames) {
        const FrameInspection facts = inspect_frame(frame.path, std::nullopt, profile);
        INFO(frame.name);
        REQUIRE(facts.rejection);
        CHECK(facts.rejection->reason == RejectReason::not_radiometric);
        CHECK_THAT(facts.rejection->detail, Catch::Contains("8-bit") && Catch::Contains("16-bit TIFF"));
    }
}
