// `heatrow measure` from the outside, on a matrix of temperatures written by the test.
#include "support/program.hpp"
#include "support/temp_folder.hpp"
#include "support/text_file.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <fstream>
#include <sstream>
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

// What stands behind the first `opening` up to the next `closing`.
std::string between(const std::string& text, const std::string& opening, const std::string& closing) {
    const std::size_t from = text.find(opening) + opening.size();
    return text.substr(from, text.find(closing, from) - from);
}

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

TEST_CASE("measure: the worked example of the documentation", "[e2e]") {
    const std::filesystem::path project(HEATROW_PROJECT);
    const std::string docs = text_of(project / "docs" / "measure.md");
    const std::string command = between(docs, "    heatrow measure demo/joints/outlet.tif", "```");
    std::istringstream words(command);
    std::vector<std::string> arguments{"measure", (project / "demo" / "joints" / "outlet.tif").string()};
    for (std::string word; words >> word;) {
        arguments.push_back(word);
    }
    REQUIRE(arguments.size() > 30);
    const TempFolder folder;
    REQUIRE(arguments.at(arguments.size() - 2) == "--picture");
    arguments.back() = (folder.path() / "outlet.png").string();
    const auto result = run_program(HEATROW_PROGRAM, arguments);
    INFO(result.err);
    REQUIRE(result.exit_code == 0);
    std::istringstream expected(between(docs, "```text\n", "```"));
    int lines = 0;
    for (std::string line; std::getline(expected, line); ++lines) {
        CHECK_THAT(result.out, Contains(line + "\n"));
    }
    CHECK(lines > 20);
    CHECK(std::filesystem::file_size(folder.path() / "outlet.png") > 10000);
}

TEST_CASE("measure: lines, isotherm, values and records in every output", "[e2e]") {
    const Measured measured;
    const auto lines = measured.folder() / "lines.csv";
    const std::vector<std::string> more{"--scale",      "1",
                                        "--area",       "hot=rect:65,45,20,20",
                                        "--line",       "across=50,50,110,50",
                                        "--lines-out",  lines.string(),
                                        "--value",      "limit=40",
                                        "--probe",      "touch=41,0.5",
                                        "--difference", "hot-touch",
                                        "--difference", "hot:hottest-limit",
                                        "--isotherm",   "42",
                                        "--distance",   "10",
                                        "--focal-px",   "1000",
                                        "--current",    "8.4",
                                        "--power",      "3100"};
    const auto as_json = measured.run(with(more, {"--json"}));
    INFO(as_json.err);
    REQUIRE(as_json.exit_code == 0);
    const auto json = nlohmann::json::parse(as_json.out);
    CHECK_THAT(json.at("differences").at(0).at("difference_k").get<double>(), WithinAbs(1.0, 1e-9));
    CHECK(json.at("differences").at(0).at("u95_k").get<double>() > 1.9);  // the camera's offset counts
    CHECK(json.at("differences").at(1).at("u95_k").is_null());            // the typed value has no uncertainty
    const auto& picture = json.at("isotherm").at("areas").at(0);
    CHECK(picture.at("pixels") == 1200);
    CHECK_THAT(picture.at("square_m").get<double>(), WithinAbs(0.12, 1e-9));
    CHECK(json.at("isotherm").at("areas").at(1).at("share") == 1.0);
    CHECK(json.at("attached").at("current_a") == 8.4);
    CHECK(json.at("attached").at("voltage_v").is_null());
    CHECK_THAT(json.at("smallest_object_mm").get<double>(), WithinAbs(30.0, 1e-9));
    CHECK(json.at("lines").at(0).at("celsius").size() == 61);
    const std::string points = text_of(lines);
    CHECK_THAT(points, Contains("across,0.000,0.00000,50.000,50.000,30.00\r\n"));
    CHECK_THAT(points, Contains("across,20.000,0.20000,70.000,50.000,42.00\r\n"));
    const auto as_csv = measured.run(with(more, {"--csv", "--overwrite"}));
    CHECK_THAT(as_csv.out,
               Contains("\r\nisotherm,picture,") && Contains("\r\nrecorded,current_a,") &&
                   Contains("\r\ncontact_probe,touch,") && Contains("\r\nline,across,"));
    CHECK(measured.run(with(more, {"--json"})).exit_code == 1);  // lines.csv is there
}

TEST_CASE("measure: an area's own emissivity, and the reflection as a side", "[e2e]") {
    const Measured measured;
    const auto result = measured.run({"--scale",
                                      "1",
                                      "--reflected",
                                      "20",
                                      "--area",
                                      "a=rect:65,45,20,20",
                                      "--area",
                                      "b=rect:65,45,20,20",
                                      "--area-emissivity",
                                      "b=0.9",
                                      "--difference",
                                      "b-a",
                                      "--difference",
                                      "b-reflected",
                                      "--json"});
    INFO(result.err);
    REQUIRE(result.exit_code == 0);
    const auto json = nlohmann::json::parse(result.out);
    CHECK(json.at("areas").at(1).at("emissivity") == 0.9);
    CHECK(json.at("differences").at(0).at("difference_k").get<double>() > 1.5);
    CHECK(json.at("differences").at(1).at("uncertainty_terms_k").at("reflected").get<double>() > 0.0);
}

TEST_CASE("measure: pictures by hand, by span and by a series", "[e2e]") {
    const Measured measured;
    const auto other = measured.folder() / "other.csv";
    std::ofstream(other) << "10,10\n10,85\n";
    const auto svg_with = [&measured](const std::vector<std::string>& limits) {
        const auto file = (measured.folder() / "p.svg").string();
        const auto result = measured.run(with({"--scale", "1", "--picture", file, "--overwrite"}, limits));
        INFO(result.err);
        CHECK(result.exit_code == 0);
        return text_of(file);
    };
    CHECK_THAT(svg_with({"--limits", "20,80"}), Contains("20 to 80"));
    CHECK_THAT(svg_with({"--limits-span", "10"}), Contains("25 to 35"));
    CHECK_THAT(svg_with({"--limits-from", other.string()}), Contains("10 to 86") || Contains("10 to 85"));
    CHECK_THAT(svg_with({}), Contains("30 to 42"));
}

TEST_CASE("measure: slips of the newer options are refused", "[e2e]") {
    const Measured measured;
    const auto refused = [&measured](std::vector<std::string> more, const char* words) {
        more.insert(more.begin(), {"--scale", "1"});
        const auto result = measured.run(std::move(more));
        CHECK(result.exit_code == 2);
        CHECK_THAT(result.err, Contains(words));
        CHECK(result.out.empty());
    };
    refused({"--line", "l=1,2,3"}, "NAME=x1,y1,x2,y2");
    refused({"--line", "l=500,500,600,600"}, "meets no temperature");
    refused({"--lines-out", "x.csv"}, "there is no line");
    refused({"--value", "a=hot"}, "NAME=degC");
    refused({"--probe", "a=40,-1"}, "above zero");
    refused({"--probe", "reflected=40"}, "another name");
    refused({"--value", "a=40", "--area", "a=rect:1,1,9,9"}, "two areas, lines or values");
    refused({"--area", "a=point:1,1", "--value", "v=3", "--difference", "a:hottest-v"}, "3 x 3");
    refused({"--area", "a=rect:1,1,9,9", "--difference", "a-reflected"}, "--reflected");
    refused({"--area", "a=rect:1,1,9,9", "--area-emissivity", "b=0.9", "--reflected", "20"}, "no area 'b'");
    refused({"--area", "a=rect:1,1,9,9", "--area-emissivity", "a=0"}, "above 0");
    refused({"--area-emissivity", "a"}, "NAME=EMISSIVITY");
    refused({"--picture", "x.jpg"}, ".png");
    refused({"--limits", "80,20", "--picture", "x.png"}, "colder one first");
    refused({"--limits-span", "0", "--picture", "x.png"}, "above zero");
    refused({"--irradiance", "-5"}, "cannot be");
    refused({"--isotherm", "nan"}, "finite");
    refused({"--current", "inf"}, "--current");
}
