#include "heatrow/report/string_ribbon.hpp"

#include "support/sample_record.hpp"
#include "support/xml_check.hpp"

#include <catch2/catch.hpp>

#include <string>

using namespace heatrow;
using Catch::Matchers::Contains;

namespace {

std::size_t count(const std::string& text, std::string_view part) {
    std::size_t found = 0;
    for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + part.size())) {
        ++found;
    }
    return found;
}

const StringView& string_named(const ReportModel& model, std::string_view title) {
    for (const StringView& string : model.strings) {
        if (string.title == title) {
            return string;
        }
    }
    throw std::runtime_error("no such string");
}

}  // namespace

TEST_CASE("string ribbon: every drawing is well-formed XML, whatever the ids", "[report]") {
    const SurveyRecord record = testing::sample_record();
    const ReportModel model = make_report_model(record, {});
    for (const StringView& string : model.strings) {
        const std::string svg = string_ribbon_svg(model, string, RibbonUse::file);
        CHECK(testing::xml_problem(svg).empty());
        CHECK_THAT(svg, !Contains("<script"));
        CHECK_THAT(svg, !Contains("<b>"));
        CHECK_THAT(svg, !Contains("http://") || Contains("xmlns=\"http://www.w3.org/2000/svg\""));
        CHECK(count(svg, "http") == 1);
        CHECK_THAT(svg, !Contains("nan"));
        CHECK(testing::xml_problem(string_ribbon_svg(model, string, RibbonUse::page)).empty());
    }
}

TEST_CASE("string ribbon: the check of XML itself finds faults", "[report]") {
    CHECK(testing::xml_problem("<a b=\"1\"><c/>x &amp; y</a>").empty());
    CHECK_FALSE(testing::xml_problem("<a><b></a></b>").empty());
    CHECK_FALSE(testing::xml_problem("<a>x & y</a>").empty());
    CHECK_FALSE(testing::xml_problem("<a b=\"<\"/>").empty());
    CHECK_FALSE(testing::xml_problem("<a b=\"1\" b=\"2\"/>").empty());
    CHECK_FALSE(testing::xml_problem("<a>").empty());
}

TEST_CASE("string ribbon: modules, positions, marks and reasons are drawn", "[report]") {
    const SurveyRecord record = testing::sample_record();
    const ReportModel model = make_report_model(record, {});
    const std::string svg = string_ribbon_svg(model, string_named(model, "S1"), RibbonUse::file);
    CHECK(count(svg, "class=\"module\"") == 12);
    CHECK_THAT(svg, Contains(">S1-M12<"));
    CHECK_THAT(svg, Contains(">not seen<"));
    CHECK_THAT(svg, Contains("irradiance"));
    CHECK_THAT(svg, Contains("S1-M3 (position 3) · hot cell r4c4 · +36.8 ± 1.6 K at 1000 W/m²"));
    CHECK_THAT(svg, Contains("class 3, safety-relevant"));
    CHECK_THAT(svg, Contains("K at 1000 W/m²"));
    CHECK_THAT(svg, Contains(">N<"));
    CHECK_THAT(svg, Contains("not called healthy"));
}

TEST_CASE("string ribbon: a long string wraps into lines of one page width", "[report]") {
    const SurveyRecord record = testing::sample_record({.strings = 1, .modules_per_string = 40, .hostile_ids = false});
    const ReportModel model = make_report_model(record, {});
    const std::string svg = string_ribbon_svg(model, model.strings.front(), RibbonUse::file);
    CHECK(count(svg, "rx=\"4\"") >= 3);  // beds of lines
    CHECK_THAT(svg, Contains(">40<"));
    CHECK_THAT(svg, Contains("width=\"1200\""));
    CHECK(testing::xml_problem(svg).empty());
}

TEST_CASE("string ribbon: one scale holds for all strings of a report", "[report]") {
    const SurveyRecord record = testing::sample_record();
    const ReportModel model = make_report_model(record, {});
    CHECK(model.scale.limit().value() == 20.0);
    for (const StringView& string : model.strings) {
        CHECK_THAT(string_ribbon_svg(model, string, RibbonUse::file), Contains(">+20<") && Contains(">−20<"));
    }
}

TEST_CASE("string ribbon: a module that was not assessed shows no cells", "[report]") {
    SurveyRecord record = testing::sample_record({.strings = 1, .modules_per_string = 1, .hostile_ids = false});
    ReportModel model = make_report_model(record, {});
    const std::size_t with_cells = string_ribbon_svg(model, model.strings.front(), RibbonUse::file).size();
    record.modules[0].assessed = false;
    record.modules[0].assessed_reason = "low_load";
    record.strings[0].modules_assessed = 0;
    model = make_report_model(record, {});
    const std::string svg = string_ribbon_svg(model, model.strings.front(), RibbonUse::file);
    CHECK(svg.size() + 1000 < with_cells);
    CHECK_THAT(svg, Contains(">low load<"));
    CHECK_THAT(svg, Contains("No module of this string could be assessed"));
}

TEST_CASE("string ribbon: same bytes every time", "[report]") {
    const SurveyRecord record = testing::sample_record();
    const ReportModel a = make_report_model(record, {});
    const SurveyRecord again = testing::sample_record();
    const ReportModel b = make_report_model(again, {});
    for (std::size_t i = 0; i < a.strings.size(); ++i) {
        CHECK(string_ribbon_svg(a, a.strings[i], RibbonUse::file) ==
              string_ribbon_svg(b, b.strings[i], RibbonUse::file));
    }
}
