#include "heatrow/io/temperature_encoding.hpp"

#include "heatrow/io/frame_inspection.hpp"
#include "support/temp_folder.hpp"
#include "support/tiff_bytes.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Contains;

namespace {

Profile profile() {
    Profile limits;
    limits.id = "test";
    limits.plausible_low_c.value = -40.0;
    limits.plausible_high_c.value = 160.0;
    return limits;
}

// A picture whose temperatures run evenly from `low` to `high`, written by an encoding.
FrameCounts ramp(double low_c, double high_c, const TemperatureEncoding& encoding, bool is_float) {
    FrameCounts frame;
    frame.counts = Image<float>(100, 100);
    frame.is_float = is_float;
    frame.is_signed = is_float || !encoding.kelvin;
    auto& pixels = frame.counts.pixels();
    for (std::size_t i = 0; i < pixels.size(); ++i) {
        const double t = low_c + (high_c - low_c) * static_cast<double>(i) / static_cast<double>(pixels.size() - 1);
        const double count = count_of(Celsius(t), encoding);
        pixels[i] = static_cast<float>(is_float ? count : std::round(count));
    }
    return frame;
}

TemperatureEncoding encoding(double scale, bool kelvin) {
    TemperatureEncoding result;
    result.scale = scale;
    result.kelvin = kelvin;
    return result;
}

}  // namespace

TEST_CASE("counts: percentiles by nearest rank, no data and saturation are counted") {
    FrameCounts frame;
    frame.counts = Image<float>(10, 20);
    for (std::size_t i = 0; i < 200; ++i) {
        frame.counts.pixels()[i] = static_cast<float>(i + 1);
    }
    CountSummary summary = summarise_counts(frame, std::nullopt);
    CHECK(summary.minimum == 1.0);
    CHECK(summary.p1 == 2.0);
    CHECK(summary.median == 100.0);
    CHECK(summary.p99 == 198.0);
    CHECK(summary.maximum == 200.0);
    frame.counts.pixels()[0] = 0.0F;
    frame.counts.pixels()[1] = 65535.0F;
    frame.counts.pixels()[2] = 65535.0F;
    summary = summarise_counts(frame, std::nullopt);
    CHECK(summary.nodata == 1);
    CHECK(summary.saturated == 2);
    CHECK(summarise_counts(frame, 65535.0).nodata == 2);
    CHECK(summarise_counts(frame, 65535.0).saturated == 0);
    frame.counts = Image<float>(4, 4, std::nanf(""));
    CHECK(std::isnan(summarise_counts(frame, std::nullopt).median));
}

TEST_CASE("encodings: a scene of 15 to 55 degC is recognised in each of them") {
    struct Known {
        TemperatureEncoding encoding;
        bool is_float;
    };
    for (const Known& known : {Known{encoding(0.01, true), false},
                               Known{encoding(0.1, true), false},
                               Known{encoding(0.04, true), false},
                               Known{encoding(0.4, true), false},
                               Known{encoding(0.1, false), false},
                               Known{encoding(1.0, false), true},
                               Known{encoding(1.0, true), true}}) {
        INFO(known.encoding.scale << " " << known.encoding.kelvin);
        const auto counts = summarise_counts(ramp(15.0, 55.0, known.encoding, known.is_float), std::nullopt);
        const auto guesses = guess_encodings(counts, known.is_float, profile());
        REQUIRE_FALSE(guesses.empty());
        CHECK(guesses.front().encoding.scale == known.encoding.scale);
        CHECK(guesses.front().encoding.kelvin == known.encoding.kelvin);
        CHECK(guesses.front().low.value() == Approx(15.4).margin(0.5));
        CHECK(guesses.front().high.value() == Approx(54.6).margin(0.5));
    }
}

TEST_CASE("encodings: a scene around 30 degC that two encodings explain is called ambiguous") {
    // Counts near 3035: 30.35 degC both as degC x 100 and as kelvin x 10 (the collision of the trade). A span of
    // 90 counts is 0.9 K or 9 K.
    const auto narrow = summarise_counts(ramp(28.0, 37.0, encoding(0.1, true), false), std::nullopt);
    const auto guesses = guess_encodings(narrow, false, profile());
    REQUIRE(guesses.size() >= 2);
    CHECK(guesses[0].name == "kelvin x 10");
    const auto between = summarise_counts(ramp(28.0, 34.0, encoding(0.01, false), false), std::nullopt);
    const auto hard = guess_encodings(between, false, profile());
    REQUIRE(hard.size() >= 2);
    CHECK(is_ambiguous(hard));
}

TEST_CASE("encodings: a wrong factor is stopped with range, values and what would be plausible") {
    const auto counts = summarise_counts(ramp(20.0, 60.0, encoding(0.01, true), false), std::nullopt);
    CHECK(check_plausible(counts, false, encoding(0.01, true), profile()));
    TemperatureEncoding in_celsius = encoding(0.01, false);
    in_celsius.offset = -273.15;
    const auto right = check_plausible(counts, false, in_celsius, profile());
    REQUIRE(right);
    CHECK(right->median.value() == Approx(40.0).margin(0.2));
    for (const auto& wrong : {encoding(0.1, true),
                              encoding(0.04, true),
                              encoding(0.4, true),
                              encoding(0.01, false),
                              encoding(0.001, true)}) {
        const auto stopped = check_plausible(counts, false, wrong, profile());
        REQUIRE_FALSE(stopped);
        CHECK(stopped.error().reason == RejectReason::implausible_range);
        CHECK_THAT(stopped.error().detail,
                   Contains("-40 to 160 degC of profile test") && Contains("kelvin x 100 (20.4 to 59.6 degC)"));
    }
}

TEST_CASE("encodings: cold sky in the picture stops nothing, a frame without data does") {
    FrameCounts frame = ramp(20.0, 60.0, encoding(0.01, true), false);
    for (std::size_t i = 0; i < 2000; ++i) {
        frame.counts.pixels()[i] = 20315.0F;  // -70 degC
    }
    CHECK(check_plausible(summarise_counts(frame, std::nullopt), false, encoding(0.01, true), profile()));
    frame.counts = Image<float>(4, 4, 0.0F);
    const auto empty = check_plausible(summarise_counts(frame, std::nullopt), false, encoding(0.01, true), profile());
    REQUIRE_FALSE(empty);
    CHECK(empty.error().reason == RejectReason::no_data);
}

TEST_CASE("inspection: facts of a frame, refusals and duplicates") {
    const testing::TempFolder folder;
    const auto tiff = testing::make_tiff({32, 24, true, 16, 1, 1, 8, true, 6}, testing::sample_scene(32, 24));
    const std::string text(tiff.begin(), tiff.end());
    std::vector<FrameInspection> frames;
    frames.push_back(inspect_frame(folder.write("a.tif", text), std::nullopt, profile()));
    frames.push_back(inspect_frame(folder.write("b.tif", "junk \x01\x02"), std::nullopt, profile()));
    frames.push_back(inspect_frame(folder.write("c.tif", text), std::nullopt, profile()));
    CHECK(frames[0].width_px == 32);
    CHECK(frames[0].guesses.at(0).name == "kelvin x 100");
    REQUIRE(frames[1].rejection);
    CHECK(frames[1].rejection->reason == RejectReason::unreadable);
    CHECK(find_duplicates(frames) == std::vector{-1, -1, 0});
}
