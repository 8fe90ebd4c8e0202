// Frames in every encoding, read back by the library's reader.
#include "heatrow/radiometry/encoding.hpp"

#include "camera_spec.hpp"
#include "frame_encoding.hpp"
#include "heatrow/io/frame_reader.hpp"
#include "scene_fixture.hpp"

#include <catch2/catch.hpp>
#include <gdal.h>

#include <cmath>

namespace {

using namespace scene;

CameraSpec camera_with(const std::string& encoding) {
    CameraSpec camera;
    camera.encoding = find_encoding(encoding);
    REQUIRE(camera.encoding.name == encoding);
    return camera;
}

// What the library makes of a flat target of this temperature.
double read_flat(const CameraSpec& camera, float celsius) {
    GDALAllRegister();
    const scene_test::TemporaryFolder folder;
    const auto file = folder.path() / ("flat" + camera.encoding.extension);
    write_frame(file, heatrow::Image<float>(64, 48, celsius), camera);
    const auto frame = heatrow::read_frame(file);
    INFO((frame ? "" : frame.error().detail));
    REQUIRE(frame);
    REQUIRE(frame->counts.width() == 64);
    REQUIRE(frame->counts.height() == 48);
    heatrow::TemperatureEncoding stated;  // as survey.toml states it
    stated.scale = camera.encoding.scale;
    stated.offset = camera.encoding.offset;
    stated.kelvin = camera.encoding.kelvin;
    const auto first = static_cast<double>(frame->counts.pixels().front());
    for (const float count : frame->counts.pixels()) {
        REQUIRE(static_cast<double>(count) == first);
    }
    return heatrow::exported_temperature(first, stated).value();
}

}  // namespace

TEST_CASE("encoding: a flat target reads its temperature in every one", "[scene]") {
    for (const char* name : {"kelvin_100",
                             "kelvin_10",
                             "kelvin_25",
                             "kelvin_2.5",
                             "celsius_100",
                             "celsius_10",
                             "scaled",
                             "float_celsius",
                             "float_kelvin",
                             "csv",
                             "csv_decimal_comma"}) {
        const CameraSpec camera = camera_with(name);
        const bool counts = camera.encoding.kind == FrameEncoding::Kind::unsigned_counts ||
                            camera.encoding.kind == FrameEncoding::Kind::signed_counts;
        const double rounding = counts ? 0.5 * camera.encoding.scale + 1e-3 : 0.006;
        for (const float celsius : {-38.37F, 0.0F, 30.35F, 61.2F, 159.9F}) {
            INFO(name << " at " << celsius << " degC");
            CHECK(read_flat(camera, celsius) == Approx(static_cast<double>(celsius)).margin(rounding));
        }
    }
}

TEST_CASE("encoding: byte orders and compressions read alike", "[scene]") {
    for (const char* name : {"kelvin_100", "celsius_100", "float_celsius"}) {
        for (const char* compression : {"DEFLATE", "LZW", "NONE"}) {
            for (const bool big_endian : {false, true}) {
                CameraSpec camera = camera_with(name);
                camera.compression = compression;
                camera.big_endian = big_endian;
                INFO(name << ", " << compression << (big_endian ? ", big endian" : ", little endian"));
                CHECK(read_flat(camera, 41.23F) == Approx(41.23).margin(0.0055));
            }
        }
    }
}

TEST_CASE("encoding: 'scaled' takes any scale and offset", "[scene]") {
    CameraSpec camera = camera_with("scaled");
    camera.encoding.scale = 0.003;
    camera.encoding.offset = -20.0;
    CHECK(read_flat(camera, 41.23F) == Approx(41.23).margin(0.002));
}

TEST_CASE("encoding: a picture is refused as not radiometric", "[scene]") {
    GDALAllRegister();
    const scene_test::TemporaryFolder folder;
    heatrow::Image<float> gradient(64, 48);
    for (std::size_t i = 0; i < gradient.pixels().size(); ++i) {
        gradient.pixels()[i] = 20.0F + 0.01F * static_cast<float>(i);
    }
    write_frame(folder.path() / "picture.tif", gradient, camera_with("picture"));
    const auto frame = heatrow::read_frame(folder.path() / "picture.tif");
    REQUIRE_FALSE(frame);
    CHECK(frame.error().reason == heatrow::RejectReason::not_radiometric);
}

TEST_CASE("encoding: raw counts grow with temperature and say nothing more", "[scene]") {
    const FrameEncoding raw = find_encoding("raw");
    double last = -1.0;
    for (double celsius = -40.0; celsius < 120.0; celsius += 5.0) {
        const double count = encoded(raw, celsius);
        CHECK(count > last);
        CHECK(count <= 16383.0);
        last = count;
    }
}

TEST_CASE("encoding: an unknown name is refused with those that there are", "[scene]") {
    std::string text = scene_test::small_scene_text();
    text.replace(text.find("focal_px = 350.0"), 16, "focal_px = 350.0\nencoding = \"kelvin\"");
    CHECK_THROWS_WITH(scene_test::read_scene_text(text),
                      Catch::Contains("camera.encoding") && Catch::Contains("'kelvin_100'"));
    text.replace(text.find("encoding = \"kelvin\""), 19, "scale = 0.02");
    CHECK_THROWS_WITH(scene_test::read_scene_text(text), Catch::Contains("scaled"));
}
