// Damaged frames: a DEFLATE frame that is read must hold the pixels that were written, whatever happened to its bytes.
#include "heatrow/io/frame_reader.hpp"
#include "support/tiff_bytes.hpp"

#include <catch2/catch.hpp>

#include <random>

using namespace heatrow;
using heatrow::testing::make_tiff;
using heatrow::testing::sample_scene;
using heatrow::testing::TiffOptions;

namespace {

constexpr int kCases = 400;
constexpr TiffOptions kFrame{64, 48, true, 16, 1, 1, 8, true, 6};

struct Tally {
    int refused = 0;
    int same = 0;    // the damage touched no pixel, e.g. an unused tag
    int silent = 0;  // other pixels than written, without a word
};

void judge(const std::vector<std::uint8_t>& damaged, const std::vector<float>& truth, Tally& tally) {
    const auto frame = decode_frame(damaged, "f.tif");
    if (!frame) {
        CHECK_FALSE(frame.error().detail.empty());
        ++tally.refused;
    } else if (frame->counts.pixels() == truth) {
        ++tally.same;
    } else {
        ++tally.silent;
    }
}

}  // namespace

TEST_CASE("frame reader: no silent wrong pixels in damaged DEFLATE frames") {
    const auto scene = sample_scene(kFrame.width, kFrame.height);
    const auto whole = make_tiff(kFrame, scene);
    const std::vector<float> truth = decode_frame(whole, "f.tif")->counts.pixels();
    std::mt19937_64 random(20260617);

    SECTION("one bit flipped anywhere") {
        Tally tally;
        for (int i = 0; i < kCases; ++i) {
            auto damaged = whole;
            const std::uint64_t bit = random() % (8 * damaged.size());
            damaged[bit / 8] = static_cast<std::uint8_t>(damaged[bit / 8] ^ (1U << (bit % 8)));
            judge(damaged, truth, tally);
        }
        INFO("refused " << tally.refused << ", same " << tally.same << ", silent " << tally.silent);
        CHECK(tally.silent == 0);
        CHECK(tally.refused > kCases / 2);
    }
    SECTION("cut anywhere") {
        Tally tally;
        for (int i = 0; i < kCases; ++i) {
            const auto size = static_cast<std::ptrdiff_t>(random() % whole.size());
            judge({whole.begin(), whole.begin() + size}, truth, tally);
        }
        CHECK(tally.silent == 0);
        CHECK(tally.refused == kCases);  // the directory lies at the end, so that every cut hits it
    }
    SECTION("every single bit of the directory and the strip tables") {
        Tally tally;
        const std::size_t tables = 2 * 8 * 4 + 2 + 11 * 12 + 4;
        for (std::size_t bit = 0; bit < 8 * (8 + tables); ++bit) {
            auto damaged = whole;
            const std::size_t byte = bit / 8 < 8 ? bit / 8 : whole.size() - tables + bit / 8 - 8;
            damaged[byte] = static_cast<std::uint8_t>(damaged[byte] ^ (1U << (bit % 8)));
            judge(damaged, truth, tally);
        }
        INFO("refused " << tally.refused << ", same " << tally.same << ", silent " << tally.silent);
        CHECK(tally.silent == 0);
    }
    SECTION("bytes overwritten in a run") {
        Tally tally;
        for (int i = 0; i < kCases; ++i) {
            auto damaged = whole;
            const std::size_t length = 1 + random() % 64;
            const std::size_t at = 8 + random() % (damaged.size() - 200 - length);
            for (std::size_t k = 0; k < length; ++k) {
                damaged[at + k] = static_cast<std::uint8_t>(random());
            }
            judge(damaged, truth, tally);
        }
        CHECK(tally.silent == 0);
    }
}
