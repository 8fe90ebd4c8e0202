// `heatrow measure` from the outside, on a matrix of temperatures written by the test.
#include "support/program.hpp"
#include "support/temp_folder.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <string>

using namespace heatrow::testing;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

// 160 x 120 degC: 30, a hot rectangle of 42 at x 60..99, y 40..69.
std::string matrix() {
    std::string text;
    for (int y = 0; y < 120; ++y) {
        for (int x = 0; x < 160; ++x) {
            text += (x == 0 ? "" : ",") + std::string(x >= 60 && x < 100 && y >= 40 && y < 70 ? "42.0" : "30.0");
        }
        text += "\n";
    }
    return text;
}

class Measured {
  public:
    Measured() : frame_(folder_.write("frame.csv", matrix()).string()) {}

    [[nodiscard]] ProgramResult run(std::vector<std::string> more) const {
        more.insert(more.begin(), {"measure", frame_});
        return run_program(HEATROW_PROGRAM, more);
    }
    [[nodiscard]] const std::filesystem::path& folder() const { return folder_.path(); }

  private:
    TempFolder folder_;
    std::string frame_;
};

const std::vector<std::string> kAreas{
    "--scale", "1", "--area", "hot=rect:65,45,20,20", "--area", "ref-1=circle:20,20,8", "--difference", "hot-ref-1"};

std::vector<std::string> with(std::vector<std::string> base, const std::vector<std::string>& more) {
    base.insert(base.end(), more.begin(), more.end());
    return base;
}

}  // namespace

TEST_CASE("measure: areas, differences and hot patches as text, JSON and CSV", "[e2e]") {
    const Measured measured;
    const auto text = measured.run(with(kAreas, {"--hot-patches"}));
    INFO(text.err);
    CHECK(text.exit_code == 0);
    CHECK_THAT(text.out, Contains("difference hot - ref-1: 12.00") && Contains("contrast 12.00"));
    CHECK(text.err.empty());

    const auto as_json = measured.run(with(kAreas, {"--hot-patches", "--json"}));
    CHECK(as_json.exit_code == 0);
    const auto json = nlohmann::json::parse(as_json.out);
    CHECK(json.at("schema") == "heatrow-measure/1");
    CHECK_THAT(json.at("differences").at(0).at("difference_k").get<double>(), WithinAbs(12.0, 1e-9));
    CHECK(json.at("areas").at(0).at("pixels") == 400);
    REQUIRE(json.at("hot_patches").size() == 1);
    CHECK_THAT(json.at("hot_patches").at(0).at("contrast_k").get<double>(), WithinAbs(12.0, 1e-9));
    CHECK(json.at("other_warm_patches").empty());

    const auto as_csv = measured.run(with(kAreas, {"--csv"}));
    CHECK(as_csv.exit_code == 0);
    CHECK_THAT(as_csv.out, Contains("\r\narea,hot,") && Contains("\r\ndifference,hot-ref-1,"));
}

TEST_CASE("measure: emissivity corrects, and says what it needs", "[e2e]") {
    const Measured measured;
    const auto corrected = measured.run(with(kAreas, {"--emissivity", "0.85", "--reflected", "-20", "--json"}));
    REQUIRE(corrected.exit_code == 0);
    const auto json = nlohmann::json::parse(corrected.out);
    CHECK(json.at("differences").at(0).at("difference_k").get<double>() > 13.0);
    CHECK(json.at("differences").at(0).at("uncertainty_terms_k").at("emissivity").get<double>() > 0.0);

    const auto missing = measured.run({"--scale", "1", "--emissivity", "0.85"});
    CHECK(missing.exit_code == 2);
    CHECK_THAT(missing.err, Contains("reflected temperature is missing"));
    CHECK(missing.out.empty());
}

TEST_CASE("measure: slips are refused with exit code and remedy", "[e2e]") {
    const Measured measured;
    const auto refused = [&measured](std::vector<std::string> arguments, int code, const char* words) {
        const auto result = measured.run(std::move(arguments));
        CHECK(result.exit_code == code);
        CHECK_THAT(result.err, Contains(words));
        CHECK(result.out.empty());
    };
    refused({}, 2, "must be declared");
    refused({"--scale", "0.01", "--offset", "-273.15"}, 1, "outside");
    refused({"--scale", "0"}, 2, "scale");
    refused({"--scale", "1", "--emissivity", "0", "--reflected", "1"}, 2, "above 0");
    refused({"--scale", "1", "--emissivity", "1.2"}, 2, "at most 1");
    refused({"--scale", "1", "--humidity", "0.5"}, 2, "looks like a fraction");
    refused({"--scale", "1", "--distance", "-3"}, 2, "cannot be");
    refused({"--scale", "1", "--band-low", "14", "--band-high", "7.5"}, 2, "lower limit first");
    refused({"--scale", "1", "--area", "a=rect:1,2,3"}, 2, "four whole numbers");
    refused({"--scale", "1", "--area", "a=rect:500,500,3,3"}, 2, "outside the picture");
    refused({"--scale", "1", "--area", "a=point:1,1", "--area", "a=point:2,2"}, 2, "two areas");
    refused({"--scale", "1", "--area", "a=point:1,1", "--difference", "a-b"}, 2, "no A-B");
    refused({"--scale", "1", "--hot-patches", "--least-contrast", "-1"}, 2, "above zero");
    refused({"--scale", "1", "--json", "--csv"}, 2, "--csv");
    const auto absent =
        run_program(HEATROW_PROGRAM, {"measure", (measured.folder() / "no.tif").string(), "--scale", "1"});
    CHECK(absent.exit_code == 1);
    CHECK_THAT(absent.err, Contains("no.tif"));
}

TEST_CASE("measure: warnings go to stderr and into the JSON", "[e2e]") {
    const Measured measured;
    const auto result =
        measured.run({"--scale", "1", "--area", "p=point:70,50", "--air", "45", "--humidity", "60", "--json"});
    CHECK(result.exit_code == 0);
    CHECK_THAT(result.err, Contains("no 3 x 3 pixels") && Contains("dew point"));
    CHECK(nlohmann::json::parse(result.out).at("warnings").size() == 2);
}
