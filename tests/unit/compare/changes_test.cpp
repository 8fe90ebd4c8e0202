// What `compare` calls a change, on invented surveys with known differences.
#include "heatrow/compare/changes.hpp"

#include "heatrow/io/comparison_profile_reader.hpp"
#include "support/check_error.hpp"
#include "support/sample_record.hpp"

#include <catch2/catch.hpp>

#include <chrono>
#include <cmath>

namespace {

using namespace heatrow;
using heatrow::testing::message_of;

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

const ComparisonProfile& profile() {
    static const ComparisonProfile read = read_comparison_profile(HEATROW_SEASON_CHANGES);
    return read;
}

// Another season of the same site: later, in another wind, its differences as that wind makes them.
SurveyRecord season(int years, double wind_m_s) {
    SurveyRecord record = heatrow::testing::sample_record({.strings = 4, .hostile_ids = false});
    record.survey_id = "year-" + std::to_string(years);
    const double factor = (25.0 + 6.84 * 1.9) / (25.0 + 6.84 * wind_m_s);
    for (FrameResult& frame : record.frames) {
        frame.prior.time += std::chrono::hours(24 * 365 * years);
        frame.conditions.wind.value = MetresPerSecond(wind_m_s);
    }
    for (ModuleResult& module : record.modules) {
        for (CellResult& cell : module.cells) {
            cell.delta_t.value = cell.delta_t.value * factor;
        }
    }
    return record;
}

Comparison compared(const SurveyRecord& before, const SurveyRecord& now) {
    const std::vector<const SurveyRecord*> surveys{&before, &now};
    return compare_surveys(surveys, {before.survey_id, now.survey_id}, profile());
}

const PartHistory* part_on(const Comparison& comparison,
                           const SurveyRecord& now,
                           const std::string& module,
                           PartLevel level) {
    for (const PartHistory& history : comparison.parts) {
        if (history.part.level == level && history.part.module >= 0) {
            const int index = comparison.site.modules[at(history.part.module)].index.back();
            if (index >= 0 && now.layout.modules[at(index)].id == module) {
                return &history;
            }
        }
    }
    return nullptr;
}

void drop_finding(SurveyRecord& record, const std::string& id) {
    std::erase_if(record.findings, [&id](const Finding& finding) { return finding.id == id; });
}

// Of "S1-M3": its hot cell r4c4 of 31 K.
CellResult& hot_cell(SurveyRecord& record) {
    const int module = *record.layout.find_module("S1-M3");
    return record.modules[at(module)].cells[at(record.layout.types[0].cell_number({3, 3}))];
}

}  // namespace

TEST_CASE("compare: the same heat in another wind is no change") {
    const SurveyRecord before = season(0, 1.9);
    const SurveyRecord now = season(1, 3.2);
    const Comparison comparison = compared(before, now);
    REQUIRE(comparison.steps.size() == 1);
    for (const PartHistory& history : comparison.parts) {
        const ChangeKind kind = history.changes.front().kind;
        CHECK((kind == ChangeKind::unchanged || kind == ChangeKind::not_comparable));
    }
    const PartHistory* hot = part_on(comparison, now, "S1-M3", PartLevel::cell);
    REQUIRE(hot != nullptr);
    CHECK(hot->changes.front().change.value.value() == Approx(0.0).margin(1e-6));
    // Raw, the difference fell by the ratio of the heat losses.
    CHECK(hot->seasons[1].delta_t_1000.value() / hot->seasons[0].delta_t_1000.value() ==
          Approx((25.0 + 6.84 * 1.9) / (25.0 + 6.84 * 3.2)));
}

TEST_CASE("compare: grown, gone and new by what was measured, not by findings alone") {
    const SurveyRecord before = season(0, 1.9);
    SurveyRecord now = season(1, 1.9);
    hot_cell(now).delta_t.value = KelvinDelta(46.0);
    const Comparison grown = compared(before, now);
    CHECK(part_on(grown, now, "S1-M3", PartLevel::cell)->changes.front().kind == ChangeKind::grown);

    SurveyRecord repaired = season(1, 1.9);
    hot_cell(repaired).delta_t.value = KelvinDelta(0.3);
    drop_finding(repaired, "F-1-3-hot_cell");
    const Comparison gone = compared(before, repaired);
    const PartChange& change = part_on(gone, repaired, "S1-M3", PartLevel::cell)->changes.front();
    CHECK(change.kind == ChangeKind::gone);
    CHECK(change.p < 1e-6);
    CHECK(change.false_discovery < 0.01);
    const SurveyRecord after = season(2, 1.9);
    const Comparison come = compared(repaired, after);
    CHECK(part_on(come, after, "S1-M3", PartLevel::cell)->changes.front().kind == ChangeKind::new_finding);

    // A finding that slipped under the limit without a measurable change is not gone.
    SurveyRecord under = season(1, 1.9);
    drop_finding(under, "F-1-3-hot_cell");
    const Comparison slipped = compared(before, under);
    const PartChange& same = part_on(slipped, under, "S1-M3", PartLevel::cell)->changes.front();
    CHECK(same.kind == ChangeKind::unchanged);
    CHECK_FALSE(same.reason.empty());
}

TEST_CASE("compare: what was not assessed is neither gone nor unchanged") {
    const SurveyRecord before = season(0, 1.9);
    SurveyRecord now = season(1, 1.9);
    drop_finding(now, "F-1-3-hot_cell");
    ModuleResult& module = now.modules[at(*now.layout.find_module("S1-M3"))];
    module.assessed = false;
    module.assessed_reason = "shaded";
    const Comparison comparison = compared(before, now);
    const PartChange& change = part_on(comparison, now, "S1-M3", PartLevel::cell)->changes.front();
    CHECK(change.kind == ChangeKind::not_comparable);
    CHECK(change.reason == "shaded in year-1");
    CHECK(comparison.steps.front().counts[at(static_cast<int>(ChangeKind::gone))] == 0);
}

TEST_CASE("compare: a warmer part that no finding names is found by the search") {
    const SurveyRecord before = season(0, 1.9);
    SurveyRecord now = season(1, 1.9);
    ModuleResult& module = now.modules[at(*now.layout.find_module("S1-M2"))];
    for (const int cell : now.layout.types[0].cells_of_substring(2)) {
        module.cells[at(cell)].delta_t.value += KelvinDelta(4.0);
    }
    const Comparison comparison = compared(before, now);
    const PartHistory* warm = part_on(comparison, now, "S1-M2", PartLevel::substring);
    REQUIRE(warm != nullptr);
    CHECK(warm->part.substrings == std::vector<int>{2});
    CHECK(warm->changes.front().searched);
    CHECK(warm->changes.front().kind == ChangeKind::grown);
    CHECK(part_on(comparison, now, "S1-M2", PartLevel::module) == nullptr);
}

TEST_CASE("compare: three surveys have a trend and a step from the first to the last") {
    std::vector<SurveyRecord> records{season(0, 1.9), season(1, 1.9), season(2, 1.9)};
    hot_cell(records[0]).delta_t.value = KelvinDelta(21.0);
    hot_cell(records[1]).delta_t.value = KelvinDelta(31.0);
    hot_cell(records[2]).delta_t.value = KelvinDelta(41.0);
    const std::vector<const SurveyRecord*> surveys{&records[0], &records[1], &records[2]};
    const Comparison comparison = compare_surveys(surveys, {"a", "b", "c"}, profile());
    CHECK(comparison.steps.size() == 3);
    CHECK((comparison.steps.back().from == 0 && comparison.steps.back().to == 2));
    const Uncertain<KelvinDelta>& trend = part_on(comparison, records[2], "S1-M3", PartLevel::cell)->trend.per_year;
    REQUIRE(trend.is_known());
    // 10 K a year, brought to 1000 W/m2 and 2 m/s: G 840 (frames 0 to 4), wind 1.9.
    CHECK(trend.value.value() ==
          Approx(10.0 * (1000.0 / 840.0) * (25.0 + 6.84 * 1.9) / (25.0 + 6.84 * 2.0)).epsilon(0.01));
    CHECK(trend.u > 0.0);
}

TEST_CASE("compare: a profile that cannot be is refused with its key") {
    ComparisonProfile wrong = profile();
    wrong.known_sigma.value = 0.0;
    CHECK(first_problem(wrong) == "change.known_sigma must be above 0");
    CHECK(first_problem(profile()).empty());
    CHECK_THAT(message_of([] { (void)parse_comparison_profile("id = \"a\"\nverison = \"1\"\n", "own.toml"); }),
               Catch::Contains("own.toml") && Catch::Contains("verison") && Catch::Contains("version"));
}
