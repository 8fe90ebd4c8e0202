// `heatrow calibrate reflected` and `calibrate emissivity` from the outside: the worked example of docs/radiometry.md.
#include "heatrow/radiometry/measurement.hpp"
#include "support/program.hpp"
#include "support/temp_folder.hpp"
#include "support/tiff_bytes.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <cmath>
#include <random>

using namespace heatrow;
using namespace heatrow::testing;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Json = nlohmann::json;

namespace {

constexpr int kWidth = 128;
constexpr int kHeight = 96;

std::uint32_t count_of(double object_c, double emissivity, double reflected_c, double noise_k) {
    static const BandRadiance band(Band{7.5, 14.0});
    const Celsius apparent =
        apparent_of_object(Celsius(object_c), {emissivity, Celsius(reflected_c), 1.0, Celsius(kNaN)}, band);
    return static_cast<std::uint32_t>(std::lround((to_kelvin(apparent).value() + noise_k) * 100.0));
}

// Glass of emissivity 0.85 at 60 degC under a sky of -20 degC. On it from (20, 20) a tape of 0.96 as warm as the glass,
// from (70, 20) a foil of 0.045 at 25 degC; each 30 x 30 pixels. Counts are K x 100, noise 0.05 K.
std::string frame() {
    std::mt19937_64 engine(3);
    std::normal_distribution<double> noise(0.0, 0.05);
    std::vector<std::uint32_t> samples;
    for (int y = 0; y < kHeight; ++y) {
        for (int x = 0; x < kWidth; ++x) {
            const bool in_rows = y >= 20 && y < 50;
            const bool tape = in_rows && x >= 20 && x < 50;
            const bool foil = in_rows && x >= 70 && x < 100;
            samples.push_back(foil ? count_of(25.0, 0.045, -20.0, noise(engine))
                                   : count_of(60.0, tape ? 0.96 : 0.85, -20.0, noise(engine)));
        }
    }
    TiffOptions options;
    options.width = kWidth;
    options.height = kHeight;
    const auto bytes = make_tiff(options, samples);
    return {reinterpret_cast<const char*>(bytes.data()), bytes.size()};
}

class Fixture {
  public:
    [[nodiscard]] ProgramResult calibrate(const std::string& job, const std::vector<std::string>& more) const {
        std::vector<std::string> arguments{"calibrate", job, file_.string(), "--scale", "0.01", "--unit", "K"};
        arguments.insert(arguments.end(), more.begin(), more.end());
        return run_program(HEATROW_PROGRAM, arguments);
    }

  private:
    TempFolder folder_;
    std::filesystem::path file_ = folder_.write("a.tif", frame());
};

const std::vector<std::string> kByContact{"--object", "rect:52,60,20,20", "--reflected", "-20", "--contact", "60"};

std::vector<std::string> with(std::vector<std::string> arguments, std::initializer_list<std::string> more) {
    arguments.insert(arguments.end(), more);
    return arguments;
}

}  // namespace

TEST_CASE("reflected: the worked example") {
    const Fixture fixture;
    // by hand, K: camera offset 1.09, gain 0.41, foil emissivity 0.63, foil temperature 0.16; together 1.33
    const auto result = fixture.calibrate("reflected", {"--foil", "rect:75,25,20,20", "--foil-temperature", "25"});
    INFO(result.err);
    REQUIRE(result.exit_code == 0);
    CHECK(result.out ==
          "[temperature]\nreflected_c = -20.0  # +/- 1.3 K (standard uncertainty), reflector method, a.tif\n");
    CHECK_THAT(result.err, Contains("foil reads -17.3"));
    const auto json = Json::parse(
        fixture.calibrate("reflected", {"--foil", "rect:75,25,20,20", "--foil-temperature", "25", "--json"}).out);
    CHECK_THAT(json["reflected_c"]["value"].get<double>(), WithinAbs(-20.0, 0.1));
    CHECK_THAT(json["foil_apparent_c"].get<double>(), WithinAbs(-17.34, 0.05));
    CHECK(json["reflected_c"]["terms"].size() == 5);
}

TEST_CASE("emissivity: the worked example, by contact and by reference material") {
    const Fixture fixture;
    const auto contact = fixture.calibrate("emissivity", with(kByContact, {"--reflected-u", "1.3"}));
    INFO(contact.err);
    REQUIRE(contact.exit_code == 0);
    CHECK_THAT(contact.out,
               Contains("[temperature]\nemissivity = 0.850  # +/- 0.0") && Contains("contact thermometer"));
    const auto reference = fixture.calibrate("emissivity",
                                             {"--object",
                                              "rect:52,60,20,20",
                                              "--reflected",
                                              "-20",
                                              "--reflected-u",
                                              "1.3",
                                              "--reference",
                                              "rect:25,25,20,20",
                                              "--reference-emissivity",
                                              "0.96",
                                              "--json"});
    REQUIRE(reference.exit_code == 0);
    const auto json = Json::parse(reference.out);
    CHECK(json["method"] == "reference material");
    CHECK_THAT(json["emissivity"]["value"].get<double>(), WithinAbs(0.85, 0.002));
    CHECK(json["emissivity"]["u"].get<double>() < 0.015);
}

TEST_CASE("determination from the command line: refusals name figures and remedy") {
    const Fixture fixture;
    const auto refused = [&fixture](const std::string& job, const std::vector<std::string>& arguments, int code) {
        const auto result = fixture.calibrate(job, arguments);
        CHECK(result.exit_code == code);
        CHECK(result.out.empty());
        return result.err;
    };
    CHECK_THAT(refused("emissivity", {"--object", "rect:52,60,20,20", "--reflected", "55", "--contact", "60"}, 1),
               Contains("5.0 K apart, less than 10.0 K"));
    CHECK_THAT(refused("emissivity", {"--object", "rect:52,60,20,20", "--reflected", "-20"}, 2),
               Contains("neither a contact temperature nor a reference area"));
    CHECK_THAT(refused("emissivity", with(kByContact, {"--offset-u", "-1"}), 2), Contains("below zero"));
    CHECK_THAT(refused("emissivity", {"--object", "rect:52,60", "--reflected", "-20", "--contact", "60"}, 2),
               Contains("--object") && Contains("rect:x,y,w,h"));
    CHECK_THAT(refused("emissivity", {"--object", "rect:120,60,20,20", "--reflected", "-20", "--contact", "60"}, 2),
               Contains("reaches outside"));
    CHECK_THAT(refused("emissivity", {"--object", "rect:60,60,2,2", "--reflected", "-20", "--contact", "60"}, 1),
               Contains("3 x 3 pixels"));
    CHECK_THAT(refused("reflected", {"--foil", "rect:75,25,20,20"}, 2), Contains("--foil-temperature"));
    CHECK_THAT(
        refused("reflected", {"--foil", "rect:75,25,20,20", "--foil-temperature", "25", "--foil-emissivity", "0.9"}, 1),
        Contains("already radiates"));
}
