#include "heatrow/report/report_model.hpp"

#include "conditions_text.hpp"
#include "support/sample_record.hpp"

#include <catch2/catch.hpp>

#include <set>

using namespace heatrow;

TEST_CASE("report model: strings in natural order, modules in wiring order", "[report]") {
    const SurveyRecord record = testing::sample_record({.strings = 12, .modules_per_string = 3, .hostile_ids = false});
    const ReportModel model = make_report_model(record, {});
    REQUIRE(model.strings.size() == 13);
    CHECK(model.strings[1].title == "S2");
    CHECK(model.strings[9].title == "S10");
    CHECK(model.strings.back().string == -1);
    CHECK(model.strings[9].modules == record.layout.strings[9].modules);
}

TEST_CASE("report model: counts add up and nothing unassessed is counted healthy", "[report]") {
    const SurveyRecord record = testing::sample_record();
    const ReportModel model = make_report_model(record, {});
    int not_assessed = 0;
    for (const ReasonCount& reason : model.not_assessed) {
        not_assessed += reason.count;
    }
    CHECK(model.modules == 25);
    CHECK(model.modules_assessed + not_assessed == 25);
    CHECK(model.not_assessed.front().reason == "not_seen");
    CHECK(model.findings_of_class == std::array<int, 3>{1, 6, 1});
    CHECK(model.frames_scored == 6);
    CHECK(model.frames_for_information == 1);
    CHECK(model.frames_left_out.front().reason == "not_locked");
    std::multiset<int> listed;
    for (const StringView& string : model.strings) {
        listed.insert(string.findings.begin(), string.findings.end());
    }
    CHECK(listed.size() == record.findings.size());
}

TEST_CASE("report model: rejected findings stay listed but are not counted", "[report]") {
    SurveyRecord record = testing::sample_record();
    CHECK(rejected_text(record).empty());
    record.findings.front().verdict = Verdict::rejected;
    const ReportModel model = make_report_model(record, {});
    CHECK(model.findings_of_class == std::array<int, 3>{1, 6, 0});
    CHECK(rejected_text(record) == "1 finding rejected by the reviewer is listed, but not counted here.");
    std::size_t listed = 0;
    for (const StringView& string : model.strings) {
        listed += string.findings.size();
    }
    CHECK(listed == record.findings.size());
}

TEST_CASE("report model: limits are held against every frame", "[report]") {
    SurveyRecord record = testing::sample_record();
    record.limits = {{"Irradiance", "at least 600 W/m²", "profile", Flag::irradiance_below_minimum},
                     {"Wind", "at most 8 m/s", "profile", Flag::wind_above_maximum}};
    const ReportModel model = make_report_model(record, {});
    CHECK(model.limits[0].frames_outside == 1);
    CHECK(model.limits[1].frames_outside == 0);
}

TEST_CASE("report model: names of drawings are safe and differ", "[report]") {
    SurveyRecord record = testing::sample_record({.strings = 6, .modules_per_string = 1, .hostile_ids = false});
    const std::array<std::string, 6> ids = {"../../etc/passwd", "A/B", "A_B", "a_b", "CON", std::string(300, 'x')};
    for (std::size_t i = 0; i < ids.size(); ++i) {
        record.layout.strings[i].id = ids[i];
    }
    std::set<std::string> stems;
    for (const StringView& string : make_report_model(record, {}).strings) {
        CHECK(string.file_stem.find_first_of("/\\ :*?\"<>|") == std::string::npos);
        CHECK(string.file_stem.front() != '.');
        CHECK(string.file_stem.size() < 100);
        CHECK(string.file_stem != "CON");
        stems.insert(string.file_stem);
    }
    CHECK(stems.size() == 7);
    CHECK(stems.contains("A_B"));
    CHECK((stems.contains("A_B-2") || stems.contains("a_b-2") || stems.contains("a_b-3")));
}

TEST_CASE("report model: a finding lies in the middle of its cells", "[report]") {
    const SurveyRecord record = testing::sample_record();
    const Finding& hot = record.findings.front();  // r4c4 of the third module
    const Module& module = record.layout.modules[static_cast<std::size_t>(hot.module)];
    const ModuleType& type = record.layout.type_of(module);
    const auto corners = type.cell_corners({3, 3});
    const Eigen::Vector3d expected = module.point_in_site(type, (corners[0] + corners[2]) / 2.0);
    CHECK((position_of_finding(record, hot) - expected).norm() < 1e-9);
    CHECK(cells_of_finding(record, hot) == std::vector<int>{21});
}

TEST_CASE("report model: a limit whose quantity was not recorded is not met", "[report]") {
    SurveyRecord record = testing::sample_record();
    for (FrameResult& frame : record.frames) {
        frame.conditions.cloud_okta = kNaN;
    }
    record.limits = {{.name = "Cloud", .limit = {}, .source = {}, .flag = Flag::cloud_above_maximum}};
    const ReportModel model = make_report_model(record, {});
    CHECK(model.limits.at(0).frames_unknown == static_cast<int>(record.frames.size()));
}
