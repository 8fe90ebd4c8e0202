// The examples of the log formats' pages: each is read, with the columns that the text above it names.
#include "heatrow/io/conditions_log.hpp"
#include "heatrow/io/electrical_log.hpp"
#include "heatrow/io/metar.hpp"
#include "heatrow/io/survey_settings.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
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

const Columns kGerman{{"time", "Zeit"}, {"poa_global", "Einstrahlung"}, {"wind_speed", "Wind"}};

// The code points of a text whose characters have at most two bytes in UTF-8, as those of the examples.
std::vector<unsigned> code_points(const std::string& utf8) {
    std::vector<unsigned> points;
    for (std::size_t i = 0; i < utf8.size(); ++i) {
        const unsigned byte = static_cast<unsigned char>(utf8[i]);
        points.push_back(byte < 0x80U ? byte
                                      : ((byte & 0x1FU) << 6U) | (static_cast<unsigned char>(utf8[++i]) & 0x3FU));
    }
    return points;
}

std::string as_utf16(const std::string& utf8, bool little_endian, bool mark) {
    std::vector<unsigned> points = code_points(utf8);
    if (mark) {
        points.insert(points.begin(), 0xFEFFU);
    }
    std::string bytes;
    for (const unsigned point : points) {
        const char low = static_cast<char>(point & 0xFFU);
        const char high = static_cast<char>(point >> 8U);
        bytes += little_endian ? low : high;
        bytes += little_endian ? high : low;
    }
    return bytes;
}

std::string as_windows_1252(const std::string& utf8) {
    std::string bytes;
    for (const unsigned point : code_points(utf8)) {
        bytes += static_cast<char>(point);
    }
    return bytes;
}

}  // namespace

TEST_CASE("log examples: every dialect of conditions.md is read and says 812.4 W/m2 first", "[formats]") {
    const auto examples = blocks(page("conditions.md"), "csv");
    const std::vector<Columns> columns{
        {},
        {},
        kGerman,
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

TEST_CASE("log examples: the one with semicolons is the same in UTF-16, in Windows-1252 and with tabs", "[formats]") {
    const std::string example = blocks(page("conditions.md"), "csv").at(2);
    REQUIRE(example.starts_with("sep=;\n"));
    std::string tabs = example.substr(example.find('\n') + 1);
    std::replace(tabs.begin(), tabs.end(), ';', '\t');
    ConditionsLogOptions options;
    options.columns = kGerman;
    for (const std::string& bytes : {as_utf16(example, true, true),
                                     as_utf16(example, false, true),
                                     as_utf16(example, true, false),
                                     as_utf16(example, false, false),
                                     as_windows_1252(example),
                                     "\xEF\xBB\xBF" + example,
                                     tabs}) {
        const ConditionsLog log = parse_conditions_log(bytes, "example.csv", Clock{}, options);
        REQUIRE(log.series.rows().size() == 3);
        CHECK(log.series.rows().front().poa.value() == Approx(812.4));
        CHECK(log.series.rows().back().wind.value() == Approx(5.8 / 3.6));
        CHECK(log.columns.at(0).unit == "W/m\u00b2");
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
