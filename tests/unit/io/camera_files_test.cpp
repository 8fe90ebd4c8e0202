// Files that describe a camera: its response curve and its flat field.
#include "heatrow/io/flat_field_map.hpp"
#include "heatrow/io/float_tiff.hpp"
#include "heatrow/io/response_reader.hpp"
#include "support/check_error.hpp"
#include "support/temp_folder.hpp"
#include "support/tiff_bytes.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using namespace heatrow::testing;
using Catch::Matchers::Contains;

TEST_CASE("response curve: read in the usual dialects, outer zeros dropped") {
    const TempFolder folder;
    const auto file = folder.write("response.csv",
                                   "wavelength_um;response\n6,0;0\n7,0;0\n7,5;0\n8,0;0,7\n12,0;1,0\n14,0;0\n15,0;0\n");
    const auto curve = read_response_curve(file);
    REQUIRE(curve.size() == 4);
    CHECK(curve.front().wavelength_um == 7.5);
    CHECK(curve[1].response == 0.7);
    CHECK(curve.back().wavelength_um == 14.0);
}

TEST_CASE("response curve: what cannot be is refused by line and field") {
    const TempFolder folder;
    const auto complaint = [&folder](const char* text) {
        const auto file = folder.write("response.csv", text);
        return message_of([&] { read_response_curve(file); });
    };
    CHECK_THAT(complaint("um,response\n8,1\n9,1\n"), Contains("usage: ") && Contains("no column 'wavelength_um'"));
    CHECK_THAT(complaint("wavelength_um,response\n8,1\n8,1\n"), Contains("line 3, field wavelength_um"));
    CHECK_THAT(complaint("wavelength_um,response\n8,1\n9,-1\n"), Contains("line 3, field response") && Contains("-1"));
    CHECK_THAT(complaint("wavelength_um,response\n8,high\n9,1\n"), Contains("'high' is no number"));
    CHECK_THAT(complaint("wavelength_um,response\n8,1\n"), Contains("1 points"));
    CHECK_THAT(complaint("wavelength_um,response\n8,0\n9,0\n"), Contains("zero everywhere"));
}

TEST_CASE("flat field: what was written is read, and subtracted where a pixel holds a count") {
    Image<float> map(32, 24);
    for (int y = 0; y < 24; ++y) {
        for (int x = 0; x < 32; ++x) {
            map.view()(x, y) = static_cast<float>(x - 15) + 0.25F * static_cast<float>(y);
        }
    }
    map.view()(5, 5) = std::nanf("");
    const TempFolder folder;
    const auto file = folder.write("flat.tif", encode_float_tiff(std::as_const(map).view()));
    const Image<float> read = read_flat_field(file, 32, 24);

    Image<float> counts(32, 24);
    std::fill(counts.pixels().begin(), counts.pixels().end(), 30000.0F);
    counts.view()(1, 1) = 0.0F;
    counts.view()(2, 2) = 65535.0F;
    subtract_flat_field(counts, read.view(), 0.0, 65535.0F);
    CHECK(counts.view()(31, 23) == 30000.0F - 16.0F - 5.75F);
    CHECK(counts.view()(1, 1) == 0.0F);      // still no data
    CHECK(counts.view()(2, 2) == 65535.0F);  // still at the end of the range
    CHECK(std::isnan(counts.view()(5, 5)));
}

TEST_CASE("flat field: a map of another size, of integers or none is refused") {
    const TempFolder folder;
    Image<float> map(32, 24);
    const auto file = folder.write("flat.tif", encode_float_tiff(std::as_const(map).view()));
    CHECK_THAT(message_of([&] { read_flat_field(file, 640, 512); }),
               Contains("usage: cannot use the flat field") && Contains("32 x 24 px") && Contains("640 x 512"));
    CHECK_THAT(message_of([&] { read_flat_field(folder.path() / "none.tif", 32, 24); }), Contains("none.tif"));
    const auto bytes = make_tiff({}, sample_scene(32, 24));
    const auto frame = folder.write("frame.tif", {reinterpret_cast<const char*>(bytes.data()), bytes.size()});
    CHECK_THAT(message_of([&] { read_flat_field(frame, 32, 24); }), Contains("a map holds 32-bit floats"));
}
