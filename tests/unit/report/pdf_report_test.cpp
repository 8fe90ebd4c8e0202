#include "heatrow/report/pdf_report.hpp"

#include "heatrow/report/finding_advice.hpp"
#include "heatrow/report/work_list.hpp"
#include "support/sample_crops.hpp"
#include "support/sample_record.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <map>
#include <string>
#include <vector>

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

TEST_CASE("finding advice: it says what the work list says", "[report]") {
    const std::map<WorkAction, std::vector<std::string>> words = {
        {WorkAction::check_string, {"heck fuse", "switched off"}},
        {WorkAction::tighten, {"tighten"}},
        {WorkAction::replace, {"eplace"}},
        {WorkAction::clean, {"lean", "Remove what throws the shade"}},
        {WorkAction::investigate, {"Look at", "Measure", "Compare"}}};
    for (int i = 0; i < kPatternCount; ++i) {
        const auto pattern = static_cast<Pattern>(i);
        const std::string advice(advice_for(pattern));
        CAPTURE(to_string(pattern), advice);
        const auto& wanted = words.at(action_for(pattern));
        CHECK(std::any_of(wanted.begin(), wanted.end(), [&advice](const std::string& word) {
            return advice.find(word) != std::string::npos;
        }));
    }
}
