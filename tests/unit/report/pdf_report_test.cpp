#include "heatrow/report/pdf_report.hpp"

#include "heatrow/report/finding_advice.hpp"
#include "support/sample_crops.hpp"
#include "support/sample_record.hpp"

#include <catch2/catch.hpp>

#include <string>

using namespace heatrow;
using Catch::Matchers::Contains;

namespace {

ReportModel model_of(const SurveyRecord& record) {
    return make_report_model(record, {});
}

}  // namespace

TEST_CASE("pdf report: the same model gives the same bytes, dated by its frames", "[report]") {
    SurveyRecord record = testing::sample_record();
    record.crops = testing::sample_crops(record);
    const PdfReport once = pdf_report(model_of(record));
    CHECK(once.bytes.substr(0, 5) == "%PDF-");
    CHECK(once.bytes == pdf_report(model_of(record)).bytes);
    CHECK_THAT(once.bytes, Contains("CreationDate (20260617110210"));
    CHECK(once.notes.empty());
}

TEST_CASE("pdf report: a character that no font has is told", "[report]") {
    SurveyRecord record = testing::sample_record();
    record.layout.modules[0].id = "M\xF4\x8F\xBF\xBD";  // U+10FFFD, private use
    const PdfReport report = pdf_report(model_of(record));
    REQUIRE(report.notes.size() == 1);
    CHECK_THAT(report.notes.front(), Contains("U+10FFFD"));
}

TEST_CASE("pdf report: surveys without findings, strings or assessed modules have one too", "[report]") {
    SurveyRecord record = testing::sample_record({.strings = 1, .modules_per_string = 2, .hostile_ids = false});
    record.findings.clear();
    CHECK(pdf_report(model_of(record)).bytes.size() > 1000);
    for (ModuleResult& module : record.modules) {
        module.assessed = false;
        module.assessed_reason = "irradiance_below_minimum";
    }
    CHECK(pdf_report(model_of(record)).bytes.size() > 1000);
}

TEST_CASE("finding advice: every pattern has words of its own", "[report]") {
    for (int i = 0; i < kPatternCount; ++i) {
        CHECK(advice_for(static_cast<Pattern>(i)).size() > 20);
    }
}
