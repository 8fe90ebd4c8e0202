#include "heatrow/io/frame_reader.hpp"

#include "heatrow/io/frame_set.hpp"
#include "heatrow/io/frame_tags.hpp"
#include "heatrow/io/sha256.hpp"
#include "support/check_error.hpp"
#include "support/temp_folder.hpp"
#include "support/tiff_bytes.hpp"

#include <catch2/catch.hpp>

#include <bit>
#include <cmath>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::make_tiff;
using heatrow::testing::message_of;
using heatrow::testing::sample_scene;
using heatrow::testing::TiffOptions;

namespace {

using Bytes = std::vector<std::uint8_t>;

Bytes bytes_of(std::string_view text) {
    return {text.begin(), text.end()};
}

Rejection rejection_of(const Bytes& bytes) {
    const auto frame = decode_frame(bytes, "f.tif");
    REQUIRE_FALSE(frame);
    return frame.error();
}

}  // namespace

TEST_CASE("frame reader: every kind of strip gives the pixels that were written") {
    const std::vector<std::uint32_t> scene = sample_scene(33, 25);
    for (const bool little : {true, false}) {
        for (const int compression : {1, 8, 32946}) {
            for (const bool predictor : {false, true}) {
                for (const int rows : {1, 6, 25, 100}) {
                    if (predictor && compression == 1) {
                        continue;
                    }
                    const TiffOptions options{33, 25, little, 16, 1, 1, compression, predictor, rows};
                    INFO(little << compression << predictor << rows);
                    const auto frame = decode_frame(make_tiff(options, scene), "f.tif");
                    REQUIRE(frame);
                    REQUIRE(frame->counts.width() == 33);
                    REQUIRE(frame->counts.height() == 25);
                    bool same = true;
                    for (std::size_t i = 0; i < scene.size(); ++i) {
                        same = same && frame->counts.pixels()[i] == static_cast<float>(scene[i]);
                    }
                    CHECK(same);
                    CHECK(frame->bits == 16);
                    CHECK_FALSE(frame->is_float);
                }
            }
        }
    }
}

TEST_CASE("frame reader: signed counts keep their sign") {
    TiffOptions options{2, 2, true, 16, 1, 2, 8, true, 2};
    const auto frame = decode_frame(make_tiff(options, {0xFFFF, 5, 0x8000, 0x7FFF}), "f.tif");
    REQUIRE(frame);
    CHECK(frame->counts.pixels() == std::vector{-1.0F, 5.0F, -32768.0F, 32767.0F});
    CHECK(frame->is_signed);
}

TEST_CASE("frame reader: float TIFF goes through GDAL") {
    TiffOptions options{2, 2, true, 32, 1, 3, 8, false, 2};
    std::vector<std::uint32_t> bits;
    for (const float value : {21.5F, -3.25F, 80.0F, 0.0F}) {
        bits.push_back(std::bit_cast<std::uint32_t>(value));
    }
    const auto frame = decode_frame(make_tiff(options, bits), "f.tif");
    REQUIRE(frame);
    CHECK(frame->is_float);
    CHECK(frame->counts.pixels() == std::vector{21.5F, -3.25F, 80.0F, 0.0F});
}

TEST_CASE("frame reader: 8-bit and colour pictures are not radiometric, with the export to make") {
    TiffOptions grey{4, 4, true, 8, 1, 1, 8, false, 4};
    TiffOptions colour{4, 4, true, 8, 3, 1, 8, false, 4};
    TiffOptions deep_colour{4, 4, true, 16, 3, 1, 8, false, 4};
    for (const auto& [options, count] : {std::pair{grey, 16}, {colour, 48}, {deep_colour, 48}}) {
        const Rejection rejection =
            rejection_of(make_tiff(options, std::vector<std::uint32_t>(static_cast<std::size_t>(count), 7)));
        CHECK(rejection.reason == RejectReason::not_radiometric);
        CHECK_THAT(rejection.detail, Contains("f.tif") && Contains("16-bit TIFF, float TIFF or CSV matrix"));
    }
    // A PGM picture with 8 bits.
    const Rejection picture = rejection_of(bytes_of(std::string("P5\n2 2\n255\n") + "\x01\x02\x03\x04"));
    CHECK(picture.reason == RejectReason::not_radiometric);
}

TEST_CASE("frame reader: what is no picture is unreadable and says why") {
    CHECK_THAT(rejection_of({}).detail, Contains("empty"));
    CHECK(rejection_of(Bytes(5000, 0)).reason == RejectReason::unreadable);
    CHECK_THAT(rejection_of(bytes_of("hello, this is a letter\nto a friend\n")).detail, Contains("no matrix"));
    const auto missing = read_frame("/nowhere/f.tif");
    REQUIRE_FALSE(missing);
    CHECK(missing.error().reason == RejectReason::unreadable);
    CHECK_THAT(missing.error().detail, Contains("f.tif"));
}

TEST_CASE("frame reader: directories that lie are refused") {
    const Bytes good = make_tiff({8, 8, true, 16, 1, 1, 8, false, 8}, sample_scene(8, 8));
    const auto with_tag = [&](std::uint32_t tag, std::uint32_t value) {
        Bytes bytes = good;
        const std::size_t start = static_cast<std::size_t>(bytes[4]) | static_cast<std::size_t>(bytes[5]) << 8U;
        const std::size_t entries = bytes[start];
        for (std::size_t at = start + 2; at < start + 2 + 12 * entries; at += 12) {
            if ((bytes[at] | static_cast<unsigned>(bytes[at + 1]) << 8U) == tag) {
                for (std::size_t i = 0; i < 4; ++i) {
                    bytes[at + 8 + i] = static_cast<std::uint8_t>(value >> (8U * i));
                }
            }
        }
        return bytes;
    };
    REQUIRE(decode_frame(good, "f.tif"));
    CHECK_THAT(rejection_of(with_tag(256, 0)).detail, Contains("no width or height"));
    CHECK_THAT(rejection_of(with_tag(256, 0x80000000U)).detail, Contains("more than any frame"));
    CHECK_THAT(rejection_of(with_tag(257, 20000)).detail, Contains("strip"));
    CHECK_THAT(rejection_of(with_tag(256, 9)).detail, Contains("its rows hold 144"));
    CHECK_THAT(rejection_of(with_tag(278, 0)).detail, Contains("strips of no rows"));
    CHECK_THAT(rejection_of(with_tag(273, 0xFFFFFFF0U)).detail, Contains("outside the file"));
    CHECK_THAT(rejection_of(with_tag(279, 0xFFFFFFFFU)).detail, Contains("outside the file"));
    CHECK(rejection_of(with_tag(258, 17)).reason == RejectReason::unreadable);
    CHECK(rejection_of(with_tag(339, 3)).reason == RejectReason::unreadable);
    CHECK(rejection_of(with_tag(259, 4711)).reason == RejectReason::unreadable);
    // A picture far larger than its bytes could hold takes no memory for pixels.
    Bytes huge = with_tag(256, 20000);
    huge[4] = good[4];
    CHECK_THAT(rejection_of(huge).detail, Contains("cannot lie in") || Contains("its rows hold"));
}

TEST_CASE("frame reader: matrices of temperatures in the usual dialects") {
    for (const char* text : {"1.5,2,3\n4,5,6.25\n",
                             "1,5;2;3\r\n4;5;6,25\r\n",
                             "1,5\t2\t3\n4\t5\t6,25\n",
                             "sep=;\n1,5;2;3\n4;5;6,25\n",
                             "Temperature in degC\n\n1,5;2;3;\n4;5;6,25;\n"}) {
        INFO(text);
        const auto frame = decode_frame(bytes_of(text), "m.csv");
        REQUIRE(frame);
        CHECK(frame->is_float);
        CHECK(frame->counts.width() == 3);
        CHECK(frame->counts.pixels() == std::vector{1.5F, 2.0F, 3.0F, 4.0F, 5.0F, 6.25F});
    }
    const auto holes = decode_frame(bytes_of("1,NaN\n,4\n"), "m.csv");
    REQUIRE(holes);
    CHECK(std::isnan(holes->counts.pixels()[1]));
    CHECK(std::isnan(holes->counts.pixels()[2]));
}

TEST_CASE("frame reader: uneven or wordy matrices are refused with line and cell") {
    CHECK_THAT(rejection_of(bytes_of("1,2,3\n4,5\n")).detail, Contains("line 2 has 2 cells"));
    CHECK_THAT(rejection_of(bytes_of("1,2,3\n4,warm,6\n")).detail, Contains("line 2, cell 2: 'warm'"));
}

TEST_CASE("frame set: files match the pattern and come in natural order") {
    const testing::TempFolder folder;
    for (const char* name : {"f10.tif", "f9.tif", "f1.tif", "notes.txt", "f2.TIF"}) {
        folder.write(name, "x");
    }
    std::vector<std::string> names;
    for (const FrameFile& file : list_frames(folder.path(), "f*.tif")) {
        names.push_back(file.name);
    }
    CHECK(names == std::vector<std::string>{"f1.tif", "f9.tif", "f10.tif"});
    CHECK_THAT(message_of([&] { list_frames(folder.path(), "*.tiff"); }),
               Contains("input: ") && Contains("no frame") && Contains("\"*.tiff\"") && Contains("3 x .tif"));
    CHECK_THAT(message_of([] { list_frames("/nowhere", "*"); }), Contains("no such folder"));
}

TEST_CASE("frame set: patterns") {
    CHECK(matches_pattern("a.tif", "*"));
    CHECK(matches_pattern("a.tif", "?.tif"));
    CHECK(matches_pattern("abcabd", "a*abd"));
    CHECK_FALSE(matches_pattern("a.tif", "b*"));
    CHECK_FALSE(matches_pattern("a.tiff", "*.tif"));
    CHECK_FALSE(matches_pattern("", "?"));
}

TEST_CASE("sha256: the examples of FIPS 180-2") {
    // FIPS 180-2, appendix B.1 and B.2.
    CHECK(sha256_of(bytes_of("abc")) == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    const std::string two_blocks = "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq";
    const char* const digest = "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1";
    CHECK(sha256_of(bytes_of(two_blocks)) == digest);
    const testing::TempFolder folder;
    CHECK(sha256_of_file(folder.write("f", two_blocks)) == digest);
    CHECK_THAT(message_of([&] { sha256_of_file(folder.path() / "missing"); }), Contains("missing"));
}

TEST_CASE("frame tags: XMP is listed by namespace URI, as attribute and as element") {
    const std::string xmp =
        R"(<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description xmlns:p="urn:example:pose/1.0/" p:Yaw="12.5"><p:Roll>0.5</p:Roll></rdf:Description>
<rdf:Description xmlns:p="urn:example:other/"><p:Yaw>99</p:Yaw></rdf:Description></rdf:RDF></x:xmpmeta>)";
    const auto tags = list_xmp_tags(xmp);
    const auto value = [&](const std::string& group, const std::string& name) {
        for (const FrameTag& tag : tags) {
            if (tag.group == group && tag.name == name) {
                return tag.value;
            }
        }
        return std::string("none");
    };
    CHECK(value("urn:example:pose/1.0/", "Yaw") == "12.5");
    CHECK(value("urn:example:pose/1.0/", "Roll") == "0.5");
    CHECK(value("urn:example:other/", "Yaw") == "99");
    CHECK(list_xmp_tags("no xml <").empty());
}
