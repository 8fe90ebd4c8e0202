#include "heatrow/io/tag_poses.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;

namespace {

const std::string kSpace = "http://example.org/ns/flight/1.0/";

std::vector<FrameTag> exif() {
    return {{"EXIF", "EXIF_GPSLatitude", "(39) (12) (18.36)"},
            {"EXIF", "EXIF_GPSLatitudeRef", "N"},
            {"EXIF", "EXIF_GPSLongitude", "(4) (30) (0)"},
            {"EXIF", "EXIF_GPSLongitudeRef", "W"},
            {"EXIF", "EXIF_GPSAltitude", "(645.5)"},
            {"EXIF", "EXIF_GPSAltitudeRef", "00"},
            {"EXIF", "EXIF_DateTimeOriginal", "2026:06:17 11:02:03"},
            {"EXIF", "EXIF_SubSecTimeOriginal", "25"},
            {kSpace, "HeadYaw", "+91.50"},
            {kSpace, "HeadPitch", "-88.0 deg"},
            {kSpace, "HeadRoll", "0.5"},
            {kSpace, "Latitude", "39,12.306N"},
            {kSpace, "Longitude", "4,30.6W"}};
}

}  // namespace

TEST_CASE("tag poses: EXIF gives the place, mapped tags the angles") {
    PoseSettings settings;
    settings.tags = {{"yaw", {kSpace, "HeadYaw"}}, {"pitch", {kSpace, "HeadPitch"}}, {"roll", {kSpace, "HeadRoll"}}};
    const WrittenPose pose = pose_in_tags(exif(), settings);
    CHECK(pose.values[0] == Approx(-4.5));
    CHECK(pose.values[1] == Approx(39.2051));
    CHECK(pose.values[2] == Approx(645.5));
    CHECK(pose.values[3] == Approx(91.5));
    CHECK(pose.values[4] == Approx(-88.0));
    CHECK(pose.values[5] == Approx(0.5));
    // Without a mapping there are no angles: none is guessed from a name.
    CHECK(std::isnan(pose_in_tags(exif(), {}).values[3]));
    CHECK(std::isnan(pose_in_tags({}, settings).values[0]));
}

TEST_CASE("tag poses: a mapped place counts before EXIF's; degrees and minutes are read") {
    PoseSettings settings;
    settings.tags = {{"longitude", {kSpace, "Longitude"}}, {"latitude", {kSpace, "Latitude"}}};
    const WrittenPose pose = pose_in_tags(exif(), settings);
    CHECK(pose.values[0] == Approx(-4.51));
    CHECK(pose.values[1] == Approx(39.2051));
    settings.tags["latitude"] = {"http://example.org/ns/other/", "Latitude"};
    CHECK(std::isnan(pose_in_tags(exif(), settings).values[1]));
}

TEST_CASE("tag poses: heights below the reference, and a position without fix is kept as written") {
    std::vector<FrameTag> tags{{"EXIF", "EXIF_GPSLatitude", "(0) (0) (0)"},
                               {"EXIF", "EXIF_GPSLongitude", "(0) (0) (0)"},
                               {"EXIF", "EXIF_GPSAltitude", "(12)"},
                               {"EXIF", "EXIF_GPSAltitudeRef", "1"}};
    const WrittenPose pose = pose_in_tags(tags, {});
    CHECK(pose.values[0] == 0.0);
    CHECK(pose.values[1] == 0.0);
    CHECK(pose.values[2] == -12.0);
}

TEST_CASE("tag poses: times carry fractions, and an offset in the tags counts before the clock") {
    Clock clock;
    clock.scale = Clock::FixedOffset{std::chrono::hours(2)};
    std::vector<FrameTag> tags = exif();
    const auto by_clock = time_in_tags(tags, clock, "a.tif");
    REQUIRE(by_clock);
    CHECK(to_iso8601(*by_clock) == "2026-06-17T09:02:03.250Z");
    tags.push_back({"EXIF", "EXIF_OffsetTimeOriginal", "+03:00"});
    CHECK(to_iso8601(*time_in_tags(tags, clock, "a.tif")) == "2026-06-17T08:02:03.250Z");
    CHECK_FALSE(time_in_tags({}, clock, "a.tif"));
}
