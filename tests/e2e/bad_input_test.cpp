// What users bring by mistake: each a clear error or a counted, named exclusion; nothing half-written.
#include "survey_copy.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

namespace fs = std::filesystem;
using namespace heatrow::testing;
using Catch::Matchers::Contains;

namespace {

// The run fails with this exit code, says these words, and writes nothing.
void check_refused(const SurveyCopy& copy, int exit_code, const std::vector<std::string>& words) {
    const auto result = copy.analyse();
    INFO(result.err);
    CHECK(result.exit_code == exit_code);
    CHECK(result.out.empty());
    for (const std::string& word : words) {
        CHECK_THAT(result.err, Contains(word));
    }
    CHECK(nothing_was_written(copy));
}

// The run goes on, one frame left out, named with its reason.
void check_left_out(const SurveyCopy& copy, const std::string& frame, const std::string& reason) {
    const auto result = copy.analyse({"--json"});
    INFO(result.err);
    REQUIRE(result.exit_code == 0);
    const auto summary = nlohmann::json::parse(result.out);
    CHECK(summary["frames_scored"].get<int>() == summary["frames"].get<int>() - 1);
    CHECK_THAT(result.err, Contains(frame) && Contains(reason));
}

}  // namespace

TEST_CASE("bad input: no frame", "[e2e]") {
    const SurveyCopy copy("no-frame");
    fs::remove_all(copy.survey() / "frames");
    fs::create_directories(copy.survey() / "frames");
    check_refused(copy, 1, {"frames", "*.tif"});
}

TEST_CASE("bad input: unreadable frame", "[e2e]") {
    const SurveyCopy copy("cut-frame");
    const auto name = copy.frame(3);
    const auto file = copy.survey() / "frames" / name;
    fs::resize_file(file, fs::file_size(file) / 2);
    check_left_out(copy, name, "unreadable");
}

TEST_CASE("bad input: every frame unreadable", "[e2e]") {
    const SurveyCopy copy("all-cut");
    for (const auto& entry : fs::directory_iterator(copy.survey() / "frames")) {
        fs::resize_file(entry.path(), 100);
    }
    check_refused(copy, 1, {"frame"});
}

TEST_CASE("bad input: 8-bit picture", "[e2e]") {
    const SurveyCopy copy("picture");
    const auto name = copy.frame(2);
    // A grey 8-bit TIFF of the right size: no counts, no temperatures.
    std::string tiff("II*\0\x08\0\0\0", 8);
    const auto u16 = [&tiff](unsigned v) { tiff += {static_cast<char>(v & 255U), static_cast<char>(v >> 8U)}; };
    const auto u32 = [&](unsigned v) { u16(v & 0xffffU), u16(v >> 16U); };
    const auto entry = [&](unsigned tag, unsigned type, unsigned value) { u16(tag), u16(type), u32(1), u32(value); };
    const unsigned pixels = 640 * 512;
    u16(8);
    entry(256, 4, 640);
    entry(257, 4, 512);
    entry(258, 4, 8);
    entry(259, 4, 1);
    entry(262, 4, 1);
    entry(273, 4, 8 + 2 + 8 * 12 + 4);
    entry(278, 4, 512);
    entry(279, 4, pixels);
    u32(0);
    tiff.append(pixels, '\x40');
    write_text(copy.survey() / "frames" / name, tiff);
    check_left_out(copy, name, "not_radiometric");
}

TEST_CASE("bad input: frame without pose", "[e2e]") {
    const SurveyCopy copy("no-pose");
    const auto name = copy.frame(1);
    const auto poses = copy.survey() / "poses.csv";
    replace_in_file(poses, name, "elsewhere.tif");
    check_left_out(copy, name, "no_pose");
}

TEST_CASE("bad input: log of another day", "[e2e]") {
    const SurveyCopy copy("other-day");
    const auto log = copy.survey() / "conditions.csv";
    std::string text = read_text(log);
    const auto first = text.find("\n2026-") + 1;
    const std::string day = text.substr(first, 10);
    for (auto place = text.find(day); place != std::string::npos; place = text.find(day)) {
        text.replace(place, 10, "2025-01-05");
    }
    write_text(log, text);
    check_refused(copy, 1, {"conditions.csv", "2025-01-05", day, "clock"});
}

TEST_CASE("bad input: duplicate module ids", "[e2e]") {
    const SurveyCopy copy("duplicate-ids");
    const auto layout = copy.survey() / "layout.geojson";
    const auto json = nlohmann::json::parse(read_text(layout));
    const std::string a = json["features"][0]["properties"]["module"];
    const std::string b = json["features"][1]["properties"]["module"];
    auto spoilt = json;
    spoilt["features"][1]["properties"]["module"] = a;
    write_text(layout, spoilt.dump());
    check_refused(copy, 1, {"layout.geojson", a});
}

TEST_CASE("bad input: unknown key in survey.toml", "[e2e]") {
    const SurveyCopy copy("unknown-key");
    replace_in_file(copy.survey() / "survey.toml", "[frames]", "[frames]\nfolderr = \"frames\"");
    check_refused(copy, 2, {"survey.toml", "folderr", "folder", "line"});
}

TEST_CASE("bad input: missing camera", "[e2e]") {
    const SurveyCopy copy("no-camera");
    const auto file = copy.survey() / "survey.toml";
    std::string text = read_text(file);
    const auto begin = text.find("[[camera]]");
    const auto end = text.find("\n[", begin + 1);
    text.erase(begin, end - begin);
    write_text(file, text);
    check_refused(copy, 2, {"survey.toml", "camera"});
}

TEST_CASE("bad input: a wrong temperature factor is stopped by plausibility", "[e2e]") {
    const SurveyCopy copy("wrong-factor");
    replace_in_file(copy.survey() / "survey.toml", "scale = 0.01", "scale = 0.1");
    check_refused(copy, 1, {"degC"});
}
