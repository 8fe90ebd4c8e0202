#include "heatrow/io/frame_series.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <random>

using namespace heatrow;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Kind = SeriesRemark::Kind;

namespace {

Profile limits() {
    Profile profile;
    profile.stray_distance_m.value = 2000.0;
    profile.stray_gap_min.value = 120.0;
    profile.blurred_ratio.value = 0.6;
    profile.saturated_share.value = 0.001;
    return profile;
}

std::vector<FrameTag> tags(const std::string& model, const std::string& latitude, const std::string& time) {
    return {{"EXIF", "EXIF_Make", "Acme"},
            {"EXIF", "EXIF_Model", model},
            {"EXIF", "EXIF_GPSLatitude", latitude},
            {"EXIF", "EXIF_GPSLatitudeRef", "N"},
            {"EXIF", "EXIF_GPSLongitude", "(4) (30) (0)"},
            {"EXIF", "EXIF_GPSLongitudeRef", "W"},
            {"EXIF", "EXIF_DateTimeOriginal", time}};
}

// A series of like frames, a few seconds apart.
std::vector<FrameInspection> series(int count) {
    std::vector<FrameInspection> frames;
    for (int i = 0; i < count; ++i) {
        FrameInspection frame;
        frame.sha256 = std::to_string(i);
        frame.width_px = 640;
        frame.height_px = 512;
        frame.kind = "TIFF, 16-bit unsigned";
        frame.counts.pixels = 640L * 512L;
        frame.sharpness = 0.8;
        frame.tags = tags("T1", "(39) (12) (18.36)", "2026:06:17 11:02:0" + std::to_string(i % 10));
        frames.push_back(frame);
    }
    return frames;
}

Image<float> picture(double ramp_px, int width = 96, int height = 64) {
    std::mt19937_64 engine(2);
    std::normal_distribution<double> noise(0.0, 2.0);
    Image<float> image(width, height);
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            const double across = std::clamp((std::abs(x % 64 - 32) - 16) / ramp_px, -0.5, 0.5);
            const double down = std::clamp((std::abs(y % 64 - 32) - 16) / ramp_px, -0.5, 0.5);
            image.view()(x, y) = static_cast<float>(std::round(30000.0 + 800.0 * (across + down) + noise(engine)));
        }
    }
    return image;
}

double sharpness(const Image<float>& image) {
    return sharpness_of(image.view());
}

int enlargement(const Image<float>& image) {
    return enlargement_of(image.view());
}

}  // namespace

TEST_CASE("frame series: like frames raise no remark") {
    CHECK(find_remarks(series(8), limits()).empty());
    CHECK(find_remarks({}, limits()).empty());
    CHECK(find_remarks(series(1), limits()).empty());
}

TEST_CASE("frame series: each kind of stray is named with its figures") {
    auto frames = series(8);
    frames[1].width_px = 320;
    frames[2].kind = "CSV";
    frames[3].tags = tags("T2", "(39) (12) (18.36)", "2026:06:17 11:02:03");
    frames[4].tags = tags("T1", "(39) (14) (18.36)", "2026:06:17 11:02:04");  // two minutes of arc north: 3.7 km
    frames[5].tags = tags("T1", "(39) (12) (18.36)", "2026:06:17 15:30:00");
    frames[6].sharpness = 0.3;
    frames[7].counts.saturated = 700;
    const auto remarks = find_remarks(frames, limits());
    REQUIRE(remarks.size() == 7);
    const Kind kinds[] = {Kind::other_size,
                          Kind::other_kind,
                          Kind::other_camera,
                          Kind::far_away,
                          Kind::long_after,
                          Kind::blurred,
                          Kind::saturated};
    for (std::size_t i = 0; i < remarks.size(); ++i) {
        CHECK(remarks[i].frame == i + 1);
        CHECK(remarks[i].kind == kinds[i]);
    }
    CHECK_THAT(remarks[0].detail, Contains("320 x 512 px, most have 640 x 512 px"));
    CHECK_THAT(remarks[2].detail, Contains("Acme T2") && Contains("Acme T1"));
    CHECK_THAT(remarks[3].detail, Contains("3706 m"));
    CHECK_THAT(remarks[4].detail, Contains("2026-06-17 15:30:00"));
}

TEST_CASE("frame series: refused frames and copies take no part") {
    auto frames = series(4);
    frames[1].rejection = Rejection{RejectReason::unreadable, "cut"};
    frames[1].width_px = 0;
    frames[2].sha256 = frames[0].sha256;
    frames[2].width_px = 320;
    CHECK(find_remarks(frames, limits()).empty());
}

TEST_CASE("frame facts: EXIF place, time and camera; what is no fix or no time is none") {
    const auto all = tags("T1", "(39) (12) (18.36)", "2026:06:17 11:02:03");
    REQUIRE(place_of(all));
    CHECK_THAT(place_of(all)->latitude_deg, WithinAbs(39.2051, 1e-9));
    CHECK_THAT(place_of(all)->longitude_deg, WithinAbs(-4.5, 1e-9));
    REQUIRE(time_of(all));
    CHECK(time_of(all)->written ==
          std::chrono::local_days(std::chrono::year(2026) / 6 / 17) + std::chrono::seconds(39723));
    CHECK(camera_of(all) == "Acme T1");
    CHECK_FALSE(place_of({{"EXIF", "EXIF_GPSLatitude", "(0) (0) (0)"}, {"EXIF", "EXIF_GPSLongitude", "(0) (0) (0)"}}));
    CHECK_FALSE(place_of({{"EXIF", "EXIF_GPSLatitude", "(39) (0) (0)"}}));
    for (const char* text : {"0000:00:00 00:00:00", "2026:02:30 11:00:00", "1e300:1:1 1:1:1", "yesterday", ""}) {
        CHECK_FALSE(time_of({{"EXIF", "EXIF_DateTimeOriginal", text}}));
    }
    CHECK(camera_of({}).empty());
}

TEST_CASE("frame facts: sharpness falls with the width of edges, not with their contrast") {
    const double sharp = sharpness(picture(1.0));
    CHECK(sharp > 0.9);
    CHECK_THAT(sharpness(picture(10.0)), WithinAbs(0.25, 0.06));
    Image<float> faint = picture(1.0);
    for (float& value : faint.pixels()) {
        value = 30000.0F + 0.3F * (value - 30000.0F);
    }
    CHECK_THAT(sharpness(faint), WithinAbs(sharp, 0.02));
    CHECK(std::isnan(sharpness(picture(1.0, 20, 20))));
    CHECK(std::isnan(sharpness(Image<float>(64, 64))));
}

TEST_CASE("frame facts: enlarged pixels are recognised, ordinary ones are not") {
    const Image<float> native = picture(3.0);
    CHECK(enlargement(native) == 1);
    CHECK(enlargement(Image<float>(64, 64)) == 1);
    for (const int factor : {2, 3, 4}) {
        Image<float> repeated(96, 64);
        Image<float> between(96, 64);
        for (int y = 0; y < 64; ++y) {
            for (int x = 0; x < 96; ++x) {
                const float here = native.view()(x / factor, y);
                const float next = native.view()(x / factor + 1, y);
                repeated.view()(x, y) = here;
                between.view()(x, y) =
                    here + (next - here) * static_cast<float>(x % factor) / static_cast<float>(factor);
            }
        }
        CHECK(enlargement(repeated) == factor);
        CHECK(enlargement(between) == factor);
    }
}

TEST_CASE("frame tags: make and model of the first directory are listed") {
    // little-endian, one row of one pixel, make with its text outside the entry, model inside it
    std::vector<std::uint8_t> bytes{'I', 'I', 42, 0, 16, 0, 0, 0, 'A', 'c', 'm', 'e', ' ', 'L', 0, 0};
    const auto u16 = [&bytes](unsigned v) {
        bytes.push_back(static_cast<std::uint8_t>(v & 255U));
        bytes.push_back(static_cast<std::uint8_t>(v >> 8U));
    };
    const auto entry = [&u16](unsigned tag, unsigned type, unsigned count, unsigned value) {
        u16(tag);
        u16(type);
        u16(count);
        u16(0);
        u16(value & 65535U);
        u16(value >> 16U);
    };
    u16(11);
    entry(256, 3, 1, 1);
    entry(257, 3, 1, 1);
    entry(258, 3, 1, 16);
    entry(259, 3, 1, 1);
    entry(262, 3, 1, 1);
    entry(271, 2, 7, 8);
    entry(272, 2, 3, 'T' | ('1' << 8));
    entry(273, 4, 1, 8);
    entry(277, 3, 1, 1);
    entry(278, 3, 1, 1);
    entry(279, 4, 1, 2);
    u16(0);
    u16(0);
    CHECK(camera_of(list_frame_tags(bytes)) == "Acme L T1");
    for (std::size_t size = 0; size < bytes.size(); ++size) {  // cut anywhere: nothing worse than fewer tags
        CHECK_NOTHROW(list_frame_tags({bytes.data(), size}));
    }
}
