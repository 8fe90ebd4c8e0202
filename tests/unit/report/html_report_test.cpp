#include "heatrow/report/html_report.hpp"

#include "support/sample_record.hpp"

#include <catch2/catch.hpp>

#include <string>

using namespace heatrow;
using Catch::Matchers::Contains;

TEST_CASE("html report: one page without outside resources, names escaped", "[report]") {
    const SurveyRecord record = testing::sample_record();
    const std::string page = html_report(make_report_model(record, {}));
    CHECK_THAT(page, !Contains("<b>\"&"));
    CHECK_THAT(page, !Contains("<script>alert"));
    CHECK_THAT(page,
               !Contains(" src=") && !Contains("fetch(") && !Contains("type=\"module\"") && !Contains("url(http"));
    CHECK_THAT(page, !Contains("<link"));
    CHECK_THAT(page, Contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
    CHECK_THAT(page, Contains("Never open a connector"));
    CHECK_THAT(page, Contains("not called healthy"));
    CHECK_THAT(page, Contains("may be another module"));
    CHECK_THAT(page, Contains("7 of 8 frames were placed"));
    CHECK_THAT(page, Contains("P3 &lt;ditch&gt;") && Contains("compared only"));
    CHECK_THAT(page, Contains("not used: its frame took no part"));
}

TEST_CASE("html report: sizes stay in their budget", "[report]") {
    const SurveyRecord small = testing::sample_record({.strings = 1, .modules_per_string = 1, .hostile_ids = false});
    CHECK(html_report(make_report_model(small, {})).size() < 300U * 1024U);
    const SurveyRecord large = testing::sample_record({.strings = 42, .modules_per_string = 24, .hostile_ids = false});
    CHECK(html_report(make_report_model(large, {})).size() < 3U * 1024U * 1024U / 2U);
}

TEST_CASE("html report: nothing found is said, nothing assessed is no all-clear", "[report]") {
    SurveyRecord record = testing::sample_record({.strings = 1, .modules_per_string = 2, .hostile_ids = false});
    record.findings.clear();
    CHECK_THAT(html_report(make_report_model(record, {})), Contains("No finding on the 2 assessed modules"));
    for (ModuleResult& module : record.modules) {
        module.assessed = false;
        module.assessed_reason = "irradiance_below_minimum";
    }
    record.strings[0].modules_assessed = 0;
    CHECK_THAT(html_report(make_report_model(record, {})), Contains("no all-clear"));
}
