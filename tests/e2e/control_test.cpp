// What is known by name: it settles rows that look alike, is compared where it is held, and is told where it is wrong.
#include "survey_copy.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <map>
#include <sstream>

using namespace heatrow::testing;
using Catch::Matchers::Contains;

namespace {

std::vector<std::string> split(const std::string& line) {
    std::vector<std::string> cells;
    std::istringstream stream(line);
    for (std::string cell; std::getline(stream, cell, ',');) {
        cells.push_back(cell);
    }
    return cells;
}

// The middle of a module in a frame, by the truth.
struct SeenModule {
    std::string frame;
    std::string module;
    double x = 0.0;
    double y = 0.0;
};

// Of each frame the first module that is wholly and widely inside the picture.
std::vector<SeenModule> seen_modules() {
    std::map<std::string, SeenModule> first;
    std::istringstream lines(read_text(rendered_even_rows() / "truth" / "outlines.csv"));
    std::string line;
    std::getline(lines, line);
    while (std::getline(lines, line)) {
        const auto cells = split(line);
        SeenModule seen{cells.at(0), cells.at(1), 0.0, 0.0};
        for (std::size_t corner = 0; corner < 4; ++corner) {
            seen.x += 0.25 * std::stod(cells.at(2 + 2 * corner));
            seen.y += 0.25 * std::stod(cells.at(3 + 2 * corner));
        }
        if (seen.x > 150.0 && seen.x < 490.0 && seen.y > 120.0 && seen.y < 390.0) {
            first.emplace(seen.frame, seen);
        }
    }
    std::vector<SeenModule> modules;
    for (const auto& [frame, seen] : first) {
        modules.push_back(seen);
    }
    return modules;
}

std::string entry(const SeenModule& seen, bool hold = false) {
    std::ostringstream text;
    text << "\n[[frames.known]]\nframe = \"" << seen.frame << "\"\nmodule = \"" << seen.module << "\"\npixel = ["
         << seen.x << ", " << seen.y << "]\nhold = " << (hold ? "true" : "false") << "\n";
    return text.str();
}

// Known pixels belong to [frames], which other sections follow.
void know(const SurveyCopy& copy, const std::string& entries) {
    replace_in_file(copy.survey() / "survey.toml", "\n[temperature]", entries + "\n[temperature]");
}

nlohmann::json check_json(const SurveyCopy& copy, const std::vector<std::string>& more = {}) {
    std::vector<std::string> arguments{"check", copy.survey().string(), "--json", "--quiet"};
    arguments.insert(arguments.end(), more.begin(), more.end());
    const ProgramResult result = heatrow::testing::heatrow(arguments);
    INFO(result.err);
    REQUIRE(result.exit_code == 0);
    return nlohmann::json::parse(result.out);
}

std::size_t count_placed(const nlohmann::json& check) {
    return static_cast<std::size_t>(std::count_if(check["modules"].begin(),
                                                  check["modules"].end(),
                                                  [](const auto& module) { return module["placement"] == "placed"; }));
}

double off_px(const nlohmann::json& control) {
    return std::hypot(control["off_px"][0].get<double>(), control["off_px"][1].get<double>());
}

}  // namespace

TEST_CASE("control: one known pixel names rows that look alike, and pixels held back say it is right") {
    const SurveyCopy copy("control-one-pixel", rendered_even_rows());
    const auto seen = seen_modules();
    REQUIRE(seen.size() > 6);
    const SeenModule& first = seen[1];
    const SeenModule& middle = seen[seen.size() / 2];
    const SeenModule& last = seen[seen.size() - 2];

    know(copy, entry(first, true) + entry(middle, true) + entry(last, true));
    const auto alone = check_json(copy);
    CHECK(count_placed(alone) == 0);
    for (const auto& control : alone["control"]) {
        CHECK(control["use"] == "held");
        CHECK(control["placement"] == "ambiguous");
    }

    replace_in_file(copy.survey() / "survey.toml", entry(middle, true), entry(middle, false));
    const auto settled = check_json(copy);
    const auto not_seen = std::count_if(settled["modules"].begin(), settled["modules"].end(), [](const auto& module) {
        return module["placement"] == "not_seen";
    });
    CHECK(count_placed(settled) + static_cast<std::size_t>(not_seen) == settled["modules"].size());
    REQUIRE(settled["control"].size() == 3);
    for (const auto& control : settled["control"]) {
        INFO(control.dump());
        CHECK(control["placement"] == "placed");
        CHECK(off_px(control) == 0.0);
    }
    CHECK(settled["control"][1]["use"] == "used");

    // Held on the command line it settles nothing again.
    const auto held = check_json(copy, {"--hold", middle.frame});
    CHECK(count_placed(held) == 0);
    CHECK(held["control"][1]["use"] == "held");
}

TEST_CASE("control: pixels that contradict each other name nothing, and both are told") {
    const SurveyCopy copy("control-contradiction", rendered_even_rows());
    const auto seen = seen_modules();
    SeenModule wrong = seen[seen.size() / 2 + 1];
    // "R1-T1-A31": two modules further on.
    const auto digits = wrong.module.find_last_not_of("0123456789") + 1;
    wrong.module = wrong.module.substr(0, digits) + std::to_string(std::stoi(wrong.module.substr(digits)) + 2);
    know(copy, entry(seen[seen.size() / 2]) + entry(wrong));
    const auto check = check_json(copy);
    CHECK(count_placed(check) == 0);
    REQUIRE(check["control"].size() == 2);
    for (const auto& control : check["control"]) {
        CHECK(control["use"] == "refused");
        CHECK_THAT(control["detail"].get<std::string>(), Contains("contradicts"));
    }
    const auto strict =
        heatrow::testing::heatrow({"check", copy.survey().string(), "--placement", "--strict", "--quiet"});
    CHECK(strict.exit_code == 3);
    CHECK_THAT(strict.out, Contains("not used: it contradicts"));
}

TEST_CASE("control: names that the survey does not have are refused before any frame is read") {
    const auto seen = seen_modules();
    const auto complaint =
        [&](const SeenModule& what, const std::string& name, const std::vector<std::string>& more = {}) {
            const SurveyCopy copy("control-" + name, rendered_even_rows());
            know(copy, entry(what));
            std::vector<std::string> arguments{"check", copy.survey().string(), "--quiet"};
            arguments.insert(arguments.end(), more.begin(), more.end());
            const auto result = heatrow::testing::heatrow(arguments);
            CHECK(result.exit_code == 2);
            return result.err;
        };
    SeenModule frame = seen[2];
    frame.frame.insert(frame.frame.find('.'), "1");
    CHECK_THAT(complaint(frame, "frame"),
               Contains("frames.known.frame") && Contains(frame.frame) && Contains("Did you mean"));
    SeenModule module = seen[2];
    module.module = "R1-T1-B30";
    CHECK_THAT(complaint(module, "module"),
               Contains("frames.known.module") && Contains("R1-T1-B30") && Contains("Did you mean 'R1-T1-A30'"));
    SeenModule pixel = seen[2];
    pixel.x = 640.0;
    CHECK_THAT(complaint(pixel, "pixel"),
               Contains("frames.known.pixel") && Contains("outside the picture") && Contains("[639, 511]"));
    CHECK_THAT(complaint(seen[2], "hold", {"--hold", "nothing"}), Contains("--hold") && Contains("'nothing'"));
}
