#include "heatrow/record/survey_record.hpp"

#include "support/sample_record.hpp"

#include <catch2/catch.hpp>

#include <functional>
#include <string>

using namespace heatrow;
using Catch::Matchers::Contains;

namespace {

std::string breach_after(const std::function<void(SurveyRecord&)>& change) {
    SurveyRecord record = testing::sample_record();
    change(record);
    return first_breach(record);
}

}  // namespace

TEST_CASE("survey record: an honest record has no breach", "[record]") {
    CHECK(first_breach(testing::sample_record()).empty());
    CHECK(first_breach(testing::sample_record({.strings = 1, .modules_per_string = 1, .hostile_ids = false})).empty());
}

TEST_CASE("survey record: what was not assessed carries no class", "[record]") {
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.modules[6].abnormality = AbnormalityClass::thermal; }),
               Contains("has a class but was not assessed"));
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.modules[6].assessed_reason.clear(); }),
               Contains("not assessed without a reason"));
    // A hot module whose name is not sure is still reported; one that was left out for other reasons is not.
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.modules[18].placement = Placement::placed; }),
               Contains("has a class on a module that was not assessed"));
    // Without like neighbours a module is still compared with itself.
    CHECK(breach_after([](SurveyRecord& r) {
              r.modules[18].placement = Placement::placed;
              r.modules[18].assessed_reason = "no_reference";
          }).empty());
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.findings.front().module = 6; }),
               Contains("is on a module that was not seen"));
}

TEST_CASE("survey record: one result per module and string, in order", "[record]") {
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.modules.pop_back(); }), Contains("not one result per module"));
    CHECK_THAT(breach_after([](SurveyRecord& r) { std::swap(r.modules[0], r.modules[1]); }),
               Contains("result of another module"));
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.strings.pop_back(); }), Contains("not one result per string"));
    CHECK_THAT(breach_after([](SurveyRecord& r) { ++r.strings[0].modules_assessed; }),
               Contains("counts other assessed modules"));
}

TEST_CASE("survey record: indices lie in range", "[record]") {
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.findings[0].module = 999; }), Contains("unknown module"));
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.findings[0].frames = {99}; }), Contains("unknown frame"));
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.findings[0].cells = {{10, 0}}; }), Contains("outside its module"));
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.modules[0].cells.pop_back(); }), Contains("cells of its type"));
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.views[0].module = -1; }), Contains("a view names an unknown"));
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.layout.modules[0].string = 7; }), Contains("unknown string"));
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.layout.strings[0].modules[0] = 700; }),
               Contains("holds an unknown module"));
}

TEST_CASE("survey record: promised values are there", "[record]") {
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.modules[0].temperature.value = Celsius(kNaN); }),
               Contains("without a temperature"));
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.findings[0].delta_t.value = KelvinDelta(kNaN); }),
               Contains("has no difference"));
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.findings[0].class_probability = kNaN; }),
               Contains("no class probability"));
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.findings[0].evidence.clear(); }), Contains("no evidence"));
}

TEST_CASE("survey record: names are there once, findings are ordered", "[record]") {
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.findings[1].id = r.findings[0].id; }), Contains("is there twice"));
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.frames[1].prior.name = r.frames[0].prior.name; }),
               Contains("is there twice"));
    CHECK_THAT(breach_after([](SurveyRecord& r) { std::swap(r.findings.front(), r.findings.back()); }),
               Contains("order of their classes"));
    CHECK_THAT(breach_after([](SurveyRecord& r) { r.frames[7].scored = true; }), Contains("scored although"));
}

TEST_CASE("survey statement: what is missing is listed", "[record]") {
    SurveyStatement stated;
    CHECK_THAT(not_stated(stated), Catch::VectorContains(std::string("inspector")));
    CHECK_THAT(not_stated(stated), Catch::VectorContains(std::string("instrument for irradiance")));
    stated.client = "A";
    stated.plant = "B";
    stated.address = "C";
    stated.capacity = "1 MWp";
    stated.purpose = "D";
    stated.procedure = "E";
    stated.inspector = stated.analyst = stated.reviewer = {"F", "level 2", ""};
    for (const char* measures : {"thermal frames", "irradiance", "wind", "air temperature"}) {
        stated.instruments.push_back({measures, "G", "H", "1", "", "2026-01-02", "7"});
    }
    CHECK(not_stated(stated).empty());
    stated.instruments[1].calibrated.clear();
    CHECK(not_stated(stated) == std::vector<std::string>{"calibration date of the instrument for irradiance"});
}
