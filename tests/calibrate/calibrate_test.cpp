#include "heatrow/io/float_tiff.hpp"
#include "heatrow/io/frame_reader.hpp"
#include "heatrow/io/output_file.hpp"
#include "heatrow/io/survey_settings.hpp"
#include "support/program.hpp"
#include "unit/vision/rendered_board.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <random>
#include <sstream>
#include <utility>

using namespace heatrow;
using namespace heatrow::testing;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
namespace fs = std::filesystem;

namespace {

ProgramResult calibrate(std::vector<std::string> arguments) {
    arguments.insert(arguments.begin(), "calibrate");
    return run_program(HEATROW_PROGRAM, arguments);
}

fs::path fresh_folder(const std::string& name) {
    const fs::path folder = fs::path(HEATROW_CALIBRATE_WORK) / name;
    fs::remove_all(folder);
    fs::create_directories(folder);
    return folder;
}

// A portable grey map: 8 bit below 256, else 16 bit, high byte first.
void write_pgm(const fs::path& file, const Image<float>& picture, int highest) {
    std::ofstream out(file, std::ios::binary);
    out << "P5\n" << picture.width() << " " << picture.height() << "\n" << highest << "\n";
    for (const float value : picture.pixels()) {
        const auto count = static_cast<unsigned>(value);
        if (highest > 255) {
            out.put(static_cast<char>(count >> 8U));
        }
        out.put(static_cast<char>(count & 255U));
    }
}

std::string text_of(const fs::path& file) {
    std::ostringstream text;
    text << std::ifstream(file, std::ios::binary).rdbuf();
    return text.str();
}

// Rendered once: 16-bit frames of a heated board, and the same as 8-bit pictures.
const fs::path& board_folder(bool as_8_bit) {
    static const auto folders = [] {
        const std::pair<fs::path, fs::path> made{fresh_folder("board16"), fresh_folder("board8")};
        BoardScene scene;
        scene.lens = wide_lens();
        std::uint64_t seed = 10;
        for (const BoardPose& pose : varied_poses(scene)) {
            Image<float> picture = render(scene, pose, ++seed);
            const std::string name = "board_" + std::to_string(seed) + ".pgm";
            write_pgm(made.first / name, picture, 65535);
            for (float& value : picture.pixels()) {
                value = std::clamp((value - 29500.0F) / 5.0F, 0.0F, 255.0F);
            }
            write_pgm(made.second / name, picture, 255);
        }
        return made;
    }();
    return as_8_bit ? folders.second : folders.first;
}

std::vector<std::string> camera_arguments(const fs::path& frames) {
    return {"camera", frames.string(), "--board", "6x5", "--square", "0.1"};
}

std::vector<std::string> with(std::vector<std::string> arguments, const std::vector<std::string>& more) {
    arguments.insert(arguments.end(), more.begin(), more.end());
    return arguments;
}

// 40 frames of an even surface, the camera's pattern in them: a ramp of rows, and one missing pixel.
fs::path flat_folder(const std::string& name, int frames) {
    const fs::path folder = fresh_folder(name);
    std::mt19937_64 random(5);
    std::normal_distribution<double> normal(0.0, 1.0);
    for (int i = 0; i < frames; ++i) {
        Image<float> picture(64, 48);
        for (int y = 0; y < 48; ++y) {
            for (int x = 0; x < 64; ++x) {
                const double pattern = (y % 2 == 0 ? 10.0 : -10.0) + (x % 3 == 0 ? 12.0 : -6.0);
                picture.view()(x, y) = static_cast<float>(std::round(30000.0 + i + pattern + 2.0 * normal(random)));
            }
        }
        picture.view()(7, 9) = 0.0F;
        write_pgm(folder / ("wall_" + std::to_string(i) + ".pgm"), picture, 65535);
    }
    return folder;
}

}  // namespace

TEST_CASE("camera: frames of a heated board give a block that survey.toml takes", "[calibrate]") {
    const fs::path out = fresh_folder("out") / "camera.toml";
    const auto result = calibrate(with(camera_arguments(board_folder(false)), {"--out", out.string()}));
    CAPTURE(result.err);
    REQUIRE(result.exit_code == 0);
    CHECK(text_of(out) == result.out);
    const std::string survey = "[survey]\nid = \"a\"\n[site]\nlayout = \"l.geojson\"\n" + result.out +
                               "[frames]\nposes = \"p.csv\"\n[temperature]\nscale = 0.01\noffset = -273.15\n"
                               "[conditions]\nlog = \"c.csv\"\n";
    const SurveySettings settings = parse_survey_settings(survey, "survey.toml");
    CHECK_THAT(settings.frame_camera().focal_px, WithinAbs(330.0, 3.3));
    CHECK(settings.frame_camera().width_px == 320);
    CHECK_THAT(result.out, Contains("# RMS 0.0") && Contains("of 14 frames") && Contains("tilts differ by"));

    const auto again = calibrate(with(camera_arguments(board_folder(false)), {"--out", out.string(), "-q"}));
    CHECK(again.exit_code == 1);
    CHECK_THAT(again.err, Contains("it exists") && Contains("--overwrite"));
    const auto replaced =
        calibrate(with(camera_arguments(board_folder(false)), {"--out", out.string(), "--overwrite", "-q"}));
    CHECK(replaced.exit_code == 0);
    CHECK(replaced.out == result.out);  // the same bytes
    CHECK(replaced.err.empty());
}

TEST_CASE("camera: 8-bit pictures do for geometry, and it is said", "[calibrate]") {
    const auto result = calibrate(with(camera_arguments(board_folder(true)), {"--json"}));
    REQUIRE(result.exit_code == 0);
    const auto json = nlohmann::json::parse(result.out);
    CHECK(json["schema"] == "heatrow-calibrate-camera/1");
    CHECK(json["frames_8_bit"] == 14);
    CHECK_THAT(json["focal_px"].get<double>(), WithinAbs(330.0, 3.3));
    CHECK_THAT(result.err, Contains("14 frames are 8-bit pictures"));
}

TEST_CASE("camera: files that are no frame and frames without a board are named and passed over", "[calibrate]") {
    const fs::path folder = fresh_folder("mixed");
    fs::copy(board_folder(false), folder);
    write_pgm(folder / "empty_view.pgm", Image<float>(320, 256, 30000.0F), 65535);
    std::ofstream(folder / "damaged.tif") << "II*";
    const auto result = calibrate(camera_arguments(folder));
    CHECK(result.exit_code == 0);
    CHECK_THAT(result.err, Contains("no whole board in empty_view.pgm") && Contains("not read: damaged.tif"));
    CHECK_THAT(result.out, Contains("of 16 frames"));
}

TEST_CASE("camera: slips and sets that do not do are refused", "[calibrate]") {
    const auto form = calibrate({"camera", "x.pgm", "--board", "6by5", "--square", "0.1"});
    CHECK(form.exit_code == 2);
    CHECK_THAT(form.err, Contains("'6by5'") && Contains("--board 6x5"));
    const auto square = calibrate({"camera", "x.pgm", "--board", "6x5", "--square", "0"});
    CHECK(square.exit_code == 2);
    CHECK_THAT(square.err, Contains("above 0 m"));
    const auto id = calibrate(with(camera_arguments("x.pgm"), {"--id", "a\"b"}));
    CHECK(id.exit_code == 2);
    const auto none = calibrate(camera_arguments("no-such.pgm"));
    CHECK(none.exit_code == 1);
    CHECK_THAT(none.err, Contains("found in 0 frames, 5 are needed"));
    const auto nothing = calibrate({});
    CHECK(nothing.exit_code == 2);

    const fs::path folder = fresh_folder("sizes");
    write_pgm(folder / "a.pgm", Image<float>(320, 256, 30000.0F), 65535);
    write_pgm(folder / "b.pgm", Image<float>(160, 128, 30000.0F), 65535);
    const auto sizes = calibrate(camera_arguments(folder));
    CHECK(sizes.exit_code == 1);
    CHECK_THAT(sizes.err, Contains("b.pgm") && Contains("160 x 128") && Contains("320 x 256"));
}

TEST_CASE("flat field: the map that is written flattens the frames", "[calibrate]") {
    const fs::path frames = flat_folder("wall", 40);
    const fs::path map = fresh_folder("map") / "flat.tif";
    const auto result =
        calibrate({"flat-field", frames.string(), "--flat", "--nodata", "0", "--scale", "0.01", "--out", map.string()});
    CAPTURE(result.err);
    REQUIRE(result.exit_code == 0);
    CHECK_THAT(result.out, Contains("40 of 40 frames") && Contains(" K") && Contains("flat.tif"));
    const auto offset = read_frame(map);
    REQUIRE(offset);
    CHECK(offset->is_float);
    const auto at = [&](int x, int y) { return std::as_const(offset->counts).view()(x, y); };
    CHECK(std::isnan(at(7, 9)));
    // Rows differ by 20 counts, columns by 18.
    CHECK_THAT(static_cast<double>(at(30, 20) - at(30, 21)), WithinAbs(20.0, 1.5));
    CHECK_THAT(static_cast<double>(at(30, 20) - at(31, 20)), WithinAbs(18.0, 1.5));

    const auto again = calibrate({"flat-field", frames.string(), "--flat", "--out", map.string()});
    CHECK(again.exit_code == 1);
    CHECK_THAT(again.err, Contains("it exists"));
}

TEST_CASE("flat field: JSON names parts, uncertainty and what is in the map", "[calibrate]") {
    const auto result =
        calibrate({"flat-field", flat_folder("wall", 40).string(), "--flat", "--nodata", "0", "--json"});
    REQUIRE(result.exit_code == 0);
    const auto json = nlohmann::json::parse(result.out);
    CHECK(json["schema"] == "heatrow-calibrate-flat-field/1");
    CHECK(json["fixed_pattern"]["in_map"] == true);
    CHECK_THAT(json["row_sigma_counts"].get<double>(), WithinAbs(10.0, 0.5));
    CHECK_THAT(json["column_sigma_counts"].get<double>(), WithinAbs(std::sqrt(72.0), 0.5));
    CHECK(json["vignetting"]["sigma_counts"].get<double>() < 2.0);  // none was there
    CHECK(json["kelvin_per_count"].is_null());
}

TEST_CASE("flat field: too few frames and still scenes are refused", "[calibrate]") {
    const auto few = calibrate({"flat-field", flat_folder("few", 10).string(), "--flat"});
    CHECK(few.exit_code == 1);
    CHECK_THAT(few.err, Contains("10 frames, at least 30"));
    const auto still = calibrate({"flat-field", flat_folder("wall", 40).string(), "--nodata", "0"});
    CHECK(still.exit_code == 1);
    CHECK_THAT(still.err, Contains("does not move") && Contains("--flat"));
    const auto capped = calibrate({"flat-field", flat_folder("wall", 40).string(), "--flat", "--most-frames", "20"});
    CHECK(capped.exit_code == 1);
    CHECK_THAT(capped.err, Contains("20 frames, at least 30"));
}

TEST_CASE("output file: an earlier file stays when the new one cannot be written", "[calibrate]") {
    const fs::path folder = fresh_folder("publish");
    publish_file(folder / "a.txt", "one", false);
    CHECK_THROWS_WITH(publish_file(folder / "a.txt", "two", false), Contains("it exists"));
    CHECK(text_of(folder / "a.txt") == "one");
    publish_file(folder / "a.txt", "two", true);
    CHECK(text_of(folder / "a.txt") == "two");
    CHECK_THROWS_WITH(publish_file(folder, "x", true), Contains("no ordinary file"));
    CHECK_THROWS(publish_file(folder / "missing" / "a.txt", "x", true));
    CHECK(std::distance(fs::directory_iterator(folder), fs::directory_iterator()) == 1);
}
