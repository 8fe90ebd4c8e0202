#include "heatrow/report/work_list.hpp"

#include "support/sample_record.hpp"

#include <catch2/catch.hpp>

#include <algorithm>

using namespace heatrow;

namespace {

const Eigen::Vector3d kNowhere(kNaN, kNaN, kNaN);

const WorkTask* task_at(const std::vector<WorkTask>& tasks, const std::string& id) {
    const auto found = std::find_if(tasks.begin(), tasks.end(), [&](const WorkTask& task) { return task.id == id; });
    return found == tasks.end() ? nullptr : &*found;
}

double length(const std::vector<Eigen::Vector3d>& places, const std::vector<int>& order, const Eigen::Vector3d& start) {
    double sum = 0.0;
    Eigen::Vector3d here = start;
    for (const int place : order) {
        sum += (places[static_cast<std::size_t>(place)] - here).norm();
        here = places[static_cast<std::size_t>(place)];
    }
    return sum;
}

}  // namespace

TEST_CASE("work list: findings of one table that ask for the same are one task", "[report]") {
    SurveyRecord record = testing::sample_record({.strings = 2, .modules_per_string = 12, .hostile_ids = false});
    for (Finding& finding : record.findings) {
        finding.pattern = finding.pattern == Pattern::open_circuit_module ? Pattern::junction_box : finding.pattern;
    }
    const auto tasks = make_work_list(record, kNowhere);
    const WorkTask* table = task_at(tasks, "T1.investigate");
    REQUIRE(table != nullptr);
    CHECK(table->abnormality == AbnormalityClass::safety_relevant);
    CHECK(table->rank == 1);
    CHECK(table->findings.size() == 3);  // not the one of class 1
    CHECK(table->modules.size() == 2);
    CHECK_FALSE(table->is_ambiguous);
    const WorkTask* box = task_at(tasks, "T2.tighten");
    REQUIRE(box != nullptr);
    CHECK(box->modules == std::vector<int>{record.layout.strings[1].modules[3]});
    const WorkTask* string = task_at(tasks, "S2.check_string");
    REQUIRE(string != nullptr);
    CHECK(string->modules == record.layout.strings[1].modules);
}

TEST_CASE("work list: a place in doubt names all modules that it may be", "[report]") {
    const SurveyRecord record = testing::sample_record();
    const auto tasks = make_work_list(record, kNowhere);
    const WorkTask* task = task_at(tasks, "T2.investigate");
    REQUIRE(task != nullptr);
    CHECK(task->is_ambiguous);
    const int candidate = record.layout.strings[0].modules[6];
    CHECK(std::count(task->modules.begin(), task->modules.end(), candidate) == 1);
}

TEST_CASE("work list: what a reviewer rejected, class 1 and strings that were off call for no work", "[report]") {
    SurveyRecord record = testing::sample_record();
    for (Finding& finding : record.findings) {
        finding.verdict = Verdict::rejected;
    }
    CHECK(make_work_list(record, kNowhere).empty());
    record.findings.front().verdict = Verdict::confirmed;
    CHECK(make_work_list(record, kNowhere).size() == 1);
    record.findings.front().pattern = Pattern::string_off;
    CHECK(make_work_list(record, kNowhere).empty());
}

TEST_CASE("work list: class before cost, cost before name; unknown losses cost nothing", "[report]") {
    SurveyRecord record = testing::sample_record({.strings = 4, .modules_per_string = 12, .hostile_ids = false});
    std::vector<Finding> findings;
    for (int string = 0; string < 4; ++string) {
        Finding finding = record.findings.front();
        finding.module = record.layout.strings[static_cast<std::size_t>(string)].modules[0];
        finding.string = string;
        finding.candidates.clear();
        finding.abnormality = string == 3 ? AbnormalityClass::safety_relevant : AbnormalityClass::thermal;
        finding.loss_rated_w_high = string == 1 ? 90.0 : (string == 2 ? 20.0 : kNaN);
        findings.push_back(finding);
    }
    record.findings = findings;
    const auto tasks = make_work_list(record, kNowhere);
    REQUIRE(tasks.size() == 4);
    CHECK(tasks[0].place == "T4");
    CHECK(tasks[1].place == "T2");
    CHECK(tasks[2].place == "T3");
    CHECK(tasks[3].place == "T1");
    CHECK_FALSE(std::isfinite(tasks[3].loss_rated_w_high));
}

TEST_CASE("work list: every pattern has an action, every action a name of its own", "[report]") {
    std::vector<std::string_view> names;
    for (int i = 0; i < kWorkActionCount; ++i) {
        names.push_back(to_string(static_cast<WorkAction>(i)));
    }
    std::sort(names.begin(), names.end());
    CHECK(std::unique(names.begin(), names.end()) == names.end());
    CHECK(action_for(Pattern::junction_box) == WorkAction::tighten);
    CHECK(action_for(Pattern::soiling) == WorkAction::clean);
    CHECK(action_for(Pattern::hot_cell) == WorkAction::investigate);
}

TEST_CASE("walk: places on a line are walked along it, crossings are taken out", "[report]") {
    const Eigen::Vector3d start(0, 0, 0);
    const std::vector<Eigen::Vector3d> line{{30, 0, 0}, {10, 0, 0}, {20, 0, 0}};
    CHECK(walking_order(line, start) == std::vector<int>{1, 2, 0});
    CHECK(walking_order({}, start).empty());
    // The nearest first leaves the one behind for last: 1 + 3 + 7 + 15 against 3 + 13.
    const std::vector<Eigen::Vector3d> both_sides{{1, 0, 0}, {-2, 0, 0}, {5, 0, 0}, {-10, 0, 0}};
    CHECK(length(both_sides, walking_order(both_sides, start), start) <= 20.0);
    std::vector<Eigen::Vector3d> grid;
    for (int i = 0; i < 60; ++i) {
        grid.emplace_back((i * 37) % 60 / 6 * 7.0, (i * 37) % 6 * 20.0, 0.0);
    }
    const auto order = walking_order(grid, start);
    auto sorted = order;
    std::sort(sorted.begin(), sorted.end());
    for (int i = 0; i < 60; ++i) {
        CHECK(sorted[static_cast<std::size_t>(i)] == i);
    }
    CHECK(length(grid, order, start) < 1.25 * 59 * 7.0 + 5 * 20.0);  // near the serpentine's
}

TEST_CASE("work list: what is done goes last and off the walk, what is left of a task stays in it", "[report]") {
    SurveyRecord record = testing::sample_record({.strings = 2, .modules_per_string = 12, .hostile_ids = false});
    const auto set = [&record](const std::string& finding, WorkStatus status) {
        Decision decision;
        decision.work = status;
        record.review_log.push_back({finding, {}, "A", {}, decision, "x", {}, {}});
    };
    const std::size_t count = make_work_list(record, kNowhere).size();
    set("F-1-3-hot_cell", WorkStatus::repaired);
    auto tasks = make_work_list(record, kNowhere);
    const WorkTask* table = task_at(tasks, "T1.investigate");
    REQUIRE(table != nullptr);
    CHECK(table->abnormality == AbnormalityClass::thermal);
    CHECK(table->findings.size() == 2);
    CHECK(table->status == WorkStatus::open);
    set("F-1-5-hot_cell", WorkStatus::accepted);
    set("F-1-5-substring_bypassed", WorkStatus::repaired);
    tasks = make_work_list(record, kNowhere);
    CHECK(tasks.size() == count);
    CHECK(tasks.back().id == "T1.investigate");
    CHECK(tasks.back().stop == 0);
    CHECK(tasks.back().findings.size() == 3);
    CHECK(tasks.back().status == WorkStatus::repaired);
    set("F-1-5-substring_bypassed", WorkStatus::still_there);
    tasks = make_work_list(record, kNowhere);
    CHECK(task_at(tasks, "T1.investigate")->status == WorkStatus::still_there);
    CHECK(task_at(tasks, "T1.investigate")->stop > 0);
}
