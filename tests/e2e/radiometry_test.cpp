// How a survey's temperatures follow what survey.toml says of camera and surroundings; and its first draft.
#include "survey_copy.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <sstream>

namespace fs = std::filesystem;
using namespace heatrow::testing;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

std::vector<std::string> fields_of(const std::string& line) {
    std::vector<std::string> fields;
    std::istringstream stream(line);
    for (std::string field; std::getline(stream, field, ',');) {
        fields.push_back(field);
    }
    return fields;
}

// Median of a column of modules.csv over the modules that have a value.
double median_of_column(const SurveyCopy& copy, const std::string& column) {
    std::istringstream text(read_text(copy.result() / "modules.csv"));
    std::string line;
    std::getline(text, line);
    const auto header = fields_of(line);
    const auto place = std::find(header.begin(), header.end(), column) - header.begin();
    std::vector<double> values;
    while (std::getline(text, line)) {
        const auto fields = fields_of(line);
        if (place < std::ssize(fields) && !fields[static_cast<std::size_t>(place)].empty()) {
            values.push_back(std::stod(fields[static_cast<std::size_t>(place)]));
        }
    }
    REQUIRE_FALSE(values.empty());
    std::nth_element(values.begin(), values.begin() + std::ssize(values) / 2, values.end());
    return values[values.size() / 2];
}

// Analyses a copy with one edit of its survey.toml.
double module_temperature(const std::string& name, const std::string& from, const std::string& to) {
    const SurveyCopy copy(name);
    replace_in_file(copy.survey() / "survey.toml", from, to);
    const auto result = copy.analyse();
    INFO(result.err);
    REQUIRE(result.exit_code == 0);
    return median_of_column(copy, "t_module_c");
}

const std::string kStated = "emissivity = 0.8800\nreflected_c = -20.00";

}  // namespace

TEST_CASE("analyse: a reflected temperature that is not stated is the sky's where the mirrored ray points", "[e2e]") {
    // Straight down onto modules tilted by 25 degrees the ray goes 50 degrees from the zenith, 1.556 zenith thicknesses
    // of air: emissivity 1 - 0.72^1.556 = 0.400 of L(25 degC) = 57.61, which is 23.04 W/(m2 sr) or -24.2 degC.
    // The mean of that sky over the half space is what a reflector would have read, -21.3 degC.
    const double sky = module_temperature("sky", kStated, "emissivity = 0.6");
    const double same = module_temperature("sky-stated", kStated, "emissivity = 0.6\nreflected_c = -21.3");
    CHECK_THAT(sky, WithinAbs(same, 0.8));
}

TEST_CASE("analyse: without a stated emissivity glass is taken by its view angle", "[e2e]") {
    const double glass = module_temperature("glass", "emissivity = 0.8800\n", "");
    const double same =
        module_temperature("glass-stated", "emissivity = 0.8800", "emissivity = 0.886");  // along the normal
    CHECK_THAT(glass, WithinAbs(same, 0.3));
}

TEST_CASE("analyse: the camera's band and flat field are used, and named in the manifest", "[e2e]") {
    const double plain = module_temperature("plain", "noise_k = 0.0500", "noise_k = 0.0500");
    CHECK(plain != module_temperature("band", "noise_k = 0.0500", "noise_k = 0.0500\nband_um = [8.0, 13.0]"));

    const SurveyCopy copy("flat");
    // a map of 100 counts everywhere, as text: one kelvin of apparent temperature
    std::string row;
    for (int x = 0; x < 640; ++x) {
        row += x == 0 ? "100" : ",100";
    }
    std::string map;
    for (int y = 0; y < 512; ++y) {
        map += row + "\n";
    }
    write_text(copy.survey() / "flat.csv", map);
    replace_in_file(copy.survey() / "survey.toml", "noise_k = 0.0500", "noise_k = 0.0500\nflat_field = \"flat.csv\"");
    const auto result = copy.analyse();
    INFO(result.err);
    REQUIRE(result.exit_code == 0);
    CHECK_THAT(median_of_column(copy, "t_module_c"), WithinAbs(plain - 1.06, 0.08));
    CHECK_THAT(read_text(copy.result() / "manifest.json"), Contains("\"flat field\"") && Contains("flat.csv"));

    replace_in_file(copy.survey() / "survey.toml", "flat.csv", "none.tif");
    CHECK(copy.analyse({"--overwrite"}).exit_code == 2);
}

TEST_CASE("analyse: modules below the dew point are noted", "[e2e]") {
    const SurveyCopy copy("wet");
    std::istringstream log(read_text(copy.survey() / "conditions.csv"));
    std::string wet;
    std::string line;
    std::getline(log, line);
    wet += line + ",relative_humidity\n";
    while (std::getline(log, line)) {
        wet += line.substr(0, line.rfind(',')) + ",59.0,100\n";  // no weather for thermography, but dew for sure
    }
    write_text(copy.survey() / "conditions.csv", wet);
    const auto result = copy.analyse();
    INFO(result.err);
    REQUIRE(result.exit_code == 0);
    CHECK_THAT(read_text(copy.result() / "report.html"), Contains("below the dew point"));
}

TEST_CASE("inspect: the draft of a folder is accepted once it is filled in, and never replaced", "[e2e]") {
    const SurveyCopy copy("draft");
    const fs::path settings = copy.survey() / "survey.toml";
    fs::remove(settings);
    const auto drafted = heatrow::testing::heatrow({"inspect", copy.survey().string(), "--write-settings"});
    INFO(drafted.err);
    REQUIRE(drafted.exit_code == 0);
    for (const char* found : {"layout = \"layout.geojson\"",
                              "poses = \"poses.csv\"",
                              "log = \"conditions.csv\"",
                              "folder = \"frames\"",
                              "width_px = 640",
                              "kelvin x 100"}) {
        CHECK_THAT(read_text(settings), Contains(found));
    }
    // what it demands is demanded, key by key
    const auto refused = [&copy] {
        const auto result = copy.analyse();
        CHECK(result.exit_code == 2);
        return result.err;
    };
    CHECK_THAT(refused(), Contains("focal_px"));
    replace_in_file(
        settings, "# focal_px = 1125.0", "focal_px = 1125.0\ndistortion = [-0.11, 0.07, 0.0004, -0.0003, 0.0]");
    CHECK_THAT(refused(), Contains("temperature.scale"));
    replace_in_file(settings, "# scale = 0.01\n# offset = 0\n# unit = \"K\"", "scale = 0.01\noffset = 0\nunit = \"K\"");
    const auto result = copy.analyse();
    INFO(result.err);
    CHECK(result.exit_code == 0);

    const std::string filled = read_text(settings);
    const auto again = heatrow::testing::heatrow({"inspect", copy.survey().string(), "--write-settings"});
    CHECK(again.exit_code == 1);
    CHECK_THAT(again.err, Contains("survey.toml") && Contains("exists"));
    CHECK(read_text(settings) == filled);
}

TEST_CASE("inspect: a draft needs one folder with frames", "[e2e]") {
    const SurveyCopy copy("no-draft");
    fs::remove(copy.survey() / "survey.toml");
    CHECK(
        heatrow::testing::heatrow({"inspect", (copy.survey() / "poses.csv").string(), "--write-settings"}).exit_code ==
        2);
    fs::remove_all(copy.survey() / "frames");
    const auto result = heatrow::testing::heatrow({"inspect", copy.survey().string(), "--write-settings"});
    CHECK(result.exit_code == 1);
    CHECK_THAT(result.err, Contains("holds frames"));
    CHECK_FALSE(fs::exists(copy.survey() / "survey.toml"));
}
