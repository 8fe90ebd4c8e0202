// Partner frames in visible light, from the survey folder to the pages.
#include "support/csv_rows.hpp"
#include "survey_copy.hpp"

#include <catch2/catch.hpp>

#include <filesystem>
#include <map>
#include <set>
#include <string>

namespace fs = std::filesystem;
using namespace heatrow::testing;
using Catch::Contains;

namespace {

const fs::path kRendered = fs::path(HEATROW_E2E_WORK) / "rendered-visible";

// Patterns by module, from a table with the columns `module` and `pattern`.
std::map<std::string, std::set<std::string>> patterns_in(const fs::path& table) {
    std::map<std::string, std::set<std::string>> patterns;
    for (const CsvRow& row : csv_rows(table)) {
        patterns[row.at("module")].insert(row.at("pattern"));
    }
    return patterns;
}

}  // namespace

TEST_CASE("visible frames: dirt and broken glass are named by them, a hot cell stays one", "[e2e]") {
    const SurveyCopy copy("visible", kRendered);
    const auto result = copy.analyse({"--quiet"});
    INFO(result.err);
    REQUIRE(result.exit_code == 0);
    const auto found = patterns_in(copy.result() / "findings.csv");
    int seen = 0;
    for (const auto& [module, patterns] : patterns_in(kRendered / "truth" / "faults.csv")) {
        INFO(module);
        const std::string& pattern = *patterns.begin();
        REQUIRE(found.contains(module));
        CHECK(found.at(module).contains(pattern));
        seen += pattern == "hot_cell" ? 0 : 1;
    }
    CHECK(seen == 5);
    const std::string page = read_text(copy.result() / "report.html");
    CHECK_THAT(page, Contains("data:image/jpeg;base64,"));
    CHECK_THAT(page, Contains("outline by the layout, which fits the edges of this picture"));
    CHECK_THAT(read_text(copy.result() / "report.pdf"), Contains("/DCTDecode"));
}

TEST_CASE("visible frames: without them a cause outside stays open", "[e2e]") {
    const SurveyCopy copy("visible-without", kRendered);
    const fs::path settings = copy.survey() / "survey.toml";
    std::string text = read_text(settings);
    const auto from = text.find("[visible_frames]");
    REQUIRE(from != std::string::npos);
    text.erase(from, text.find("\n[", from) - from);
    write_text(settings, text);
    const auto result = copy.analyse({"--quiet"});
    INFO(result.err);
    REQUIRE(result.exit_code == 0);
    for (const auto& [module, patterns] : patterns_in(copy.result() / "findings.csv")) {
        INFO(module);
        CHECK_FALSE(patterns.contains("soiling"));
        CHECK_FALSE(patterns.contains("broken_glass_suspected"));
    }
    CHECK(read_text(copy.result() / "report.html").find("data:image/jpeg") == std::string::npos);
}

TEST_CASE("visible frames: what cannot be paired is said, what is wrong in their table is refused", "[e2e]") {
    const SurveyCopy copy("visible-bad", kRendered);
    const fs::path times = copy.survey() / "visible.csv";
    const std::string text = read_text(times);
    replace_in_file(times, "visible_0001.jpg", "visible_9001.jpg");
    const auto unpaired = copy.analyse({"--quiet"});
    INFO(unpaired.err);
    REQUIRE(unpaired.exit_code == 0);
    const std::string page = read_text(copy.result() / "report.html");
    CHECK_THAT(page, Contains("Visible frames without a row in visible.csv take no part: visible_0001.jpg."));
    CHECK_THAT(page, Contains("visible.csv names visible frames that are not there: visible_9001.jpg."));

    // A camera that is declared wrongly, or whose clock is off, must not just show nothing.
    const auto page_with = [&copy](const char* is, const char* would_be) {
        const fs::path settings = copy.survey() / "survey.toml";
        const std::string right = read_text(settings);
        replace_in_file(settings, is, would_be);
        const auto result = copy.analyse({"--quiet", "--overwrite"});
        INFO(result.err);
        CHECK(result.exit_code == 0);
        write_text(settings, right);
        return read_text(copy.result() / "report.html");
    };
    write_text(times, text);
    CHECK_THAT(page_with("width_px = 960", "width_px = 950"),
               Contains("visible frames beside findings cannot be used: visible_00") &&
                   Contains("has 960 x 768 pixels, camera &#39;visible&#39; is declared with 950 x 768"));
    CHECK_THAT(page_with("kind = \"visible\"", "kind = \"visible\"\nclock = { shift_s = 60.0, offset = \"+00:00\" }"),
               Contains("None of 20 visible frames was taken within a second"));
    CHECK_THAT(page_with("focal_px = 1690.000000", "focal_px = 1300.0"),
               Contains("visible frames beside findings do not fit the layout"));

    write_text(times, text.substr(0, text.find('\n') + 1) + "visible_0001.jpg,noon\n");
    const auto broken = copy.analyse({"--quiet", "--overwrite"});
    CHECK(broken.exit_code == 1);
    CHECK_THAT(broken.err, Contains("visible.csv, line 2, field time") && Contains("'noon' is no date and time"));
}
