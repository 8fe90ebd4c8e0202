// The examples of the log formats' pages: each is read, with the columns that the text above it names.
#include "heatrow/io/conditions_log.hpp"
#include "heatrow/io/electrical_log.hpp"
#include "heatrow/io/metar.hpp"
#include "heatrow/io/survey_settings.hpp"

#include <catch2/catch.hpp>

#include <fstream>
#include <sstream>

using namespace heatrow;

namespace {

std::string page(const std::string& name) {
    std::ifstream file(HEATROW_DOCS_DIR "/formats/" + name);
    std::stringstream text;
    text << file.rdbuf();
    return text.str();
}

// The blocks between ```language and ```, in order.
std::vector<std::string> blocks(const std::string& text, const std::string& language) {
    const std::string open = "```" + language + "\n";
    std::vector<std::string> found;
    for (std::size_t at = text.find(open); at != std::string::npos; at = text.find(open, at + 1)) {
        const std::size_t start = at + open.size();
        found.push_back(text.substr(start, text.find("```", start) - start));
    }
    return found;
}

using Columns = std::map<std::string, std::string>;

}  // namespace

TEST_CASE("log examples: every dialect of conditions.md is read and says 812.4 W/m2 first", "[formats]") {
    const auto examples = blocks(page("conditions.md"), "csv");
    const std::vector<Columns> columns{
        {},
        {},
        {{"time", "Zeit"}, {"poa_global", "Einstrahlung"}, {"wind_speed", "Wind"}},
        {{"date", "Date"}, {"time", "Time"}, {"poa_global", "Solar"}, {"temp_air", "Air"}},
        {},
        {{"poa_global", "Slr_W_Avg"}, {"temp_air", "AirT_Avg"}},
        {}};
    REQUIRE(examples.size() == columns.size());
    for (std::size_t i = 0; i < examples.size(); ++i) {
        INFO(examples[i]);
        ConditionsLogOptions options;
        options.columns = columns[i];
        const ConditionsLog log = parse_conditions_log(examples[i], "example.csv", Clock{}, options);
        REQUIRE(log.series.rows().size() >= 2);
        const ConditionsRow& row = log.series.rows().front();
        CHECK(row.poa.value() == Approx(812.4));
        const std::string day = to_iso8601(row.time).substr(0, 10);
        CHECK(day == "2026-06-17");
        if (row.air.is_known()) {
            CHECK(row.air.value() == Approx(24.1).margin(0.05));
        }
        if (row.wind.is_known()) {
            CHECK(row.wind.value() == Approx(1.8).margin(0.01));
        }
    }
}

TEST_CASE("log examples: the settings of conditions.md are settings", "[formats]") {
    const auto settings = blocks(page("conditions.md"), "toml");
    REQUIRE(settings.size() == 1);
    const SurveySettings survey = parse_survey_settings(
        "[survey]\nid = \"a\"\n[site]\nlayout = \"l.geojson\"\n[[camera]]\nid = \"t\"\nwidth_px = 640\nheight_px = "
        "512\n"
        "focal_px = 1125.0\n[frames]\nposes = \"p.csv\"\n[temperature]\nscale = 0.01\noffset = -273.15\n" +
            settings.front(),
        "survey.toml");
    CHECK(survey.conditions.options.columns.at("time") == "Datum");
    CHECK(survey.conditions.options.label == IntervalLabel::end);
}

TEST_CASE("log examples: the reports of conditions.md are reports", "[formats]") {
    const auto reports = blocks(page("conditions.md"), "metar");
    REQUIRE(reports.size() == 1);
    const UtcTime about = std::chrono::sys_days(std::chrono::year(2026) / 6 / 17);
    const MetarFile file = parse_metar_file(reports.front(), "metar.txt", about);
    CHECK(file.reports.size() == 2);
    CHECK(file.findings.empty());
}

TEST_CASE("log examples: both forms of electrical.md are read", "[formats]") {
    const auto examples = blocks(page("electrical.md"), "csv");
    REQUIRE(examples.size() == 2);
    for (const std::string& example : examples) {
        const ElectricalLog log = parse_electrical_log(example, "amps.csv", Clock{});
        CHECK(log.strings.at("R1-S1").front().current_a == Approx(7.12));
        CHECK(log.strings.at("R1-S1").front().voltage_v == Approx(612.0));
    }
}
