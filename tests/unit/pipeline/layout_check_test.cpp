#include "layout_check.hpp"

#include "support/check_error.hpp"
#include "support/module_field.hpp"

#include <catch2/catch.hpp>

#include <algorithm>

using namespace heatrow;
using Catch::Matchers::Contains;

namespace {

Layout rows(int count) {
    test::FieldOptions options;
    options.rows = count;
    return test::make_field(options);
}

FrameOutcome locked(std::vector<TableShift> shifts, double rms_px = 0.2) {
    FrameOutcome outcome;
    outcome.record.table_shifts = std::move(shifts);
    outcome.record.lock_rms_px = rms_px;
    outcome.record.expected_position_in_site = Eigen::Vector3d::Zero();
    return outcome;
}

FrameOutcome rejected(RejectReason reason) {
    FrameOutcome outcome;
    outcome.rejection = Rejection{reason, "why"};
    return outcome;
}

// Frames that show all tables, those in `off` half a pitch along.
std::vector<FrameOutcome> frames_over(int tables, const std::vector<int>& off) {
    std::vector<TableShift> shifts;
    for (int table = 0; table < tables; ++table) {
        const bool is_off = std::find(off.begin(), off.end(), table) != off.end();
        shifts.push_back({table, is_off ? 0.4 : 0.0});
    }
    return std::vector<FrameOutcome>(8, locked(shifts));
}

}  // namespace

TEST_CASE("layout check: two tables of five in conflict are told, three refuse the layout", "[pipeline]") {
    const Layout layout = rows(6);
    const auto conflicts = check_layout(layout, frames_over(6, {1, 4}));
    REQUIRE(conflicts.tables.size() == 2);
    CHECK(conflicts.compared == 6);
    const auto notes = conflict_notes(layout, conflicts);
    REQUIRE(notes.size() == 2);
    CHECK_THAT(notes[0],
               Contains("table " + layout.tables[1].id) && Contains("0.40 of a module") && Contains("8 frames"));
    CHECK_THAT(notes[1], Contains("table " + layout.tables[4].id));

    // The limit is 40 % of those that can be compared: a half is beyond it, and no majority is right.
    const std::string message = testing::message_of([&] { (void)check_layout(layout, frames_over(6, {1, 3, 4})); });
    CHECK_THAT(message, Contains("input: ") && Contains("of 6 tables") && Contains("40 %"));
    CHECK(testing::message_of([&] { (void)check_layout(layout, frames_over(6, {})); }).empty());
}

TEST_CASE("layout check: frames that lock badly and seldom mean that the layout lies elsewhere", "[pipeline]") {
    const Layout layout = rows(2);
    const auto survey = [](int good, double rms_px, int not_locked, RejectReason why) {
        std::vector<FrameOutcome> outcomes;
        for (int i = 0; i < good; ++i) {
            outcomes.push_back(locked({}, rms_px));
        }
        for (int i = 0; i < not_locked; ++i) {
            outcomes.push_back(rejected(why));
        }
        return outcomes;
    };
    const auto message = [&](const std::vector<FrameOutcome>& outcomes) {
        return testing::message_of([&] { (void)check_layout(layout, outcomes); });
    };
    CHECK_THAT(message(survey(6, 1.0, 6, RejectReason::not_locked)),
               Contains("6 of 12 frames") && Contains("1.00 px") && Contains("datum"));
    CHECK_THAT(message(survey(6, 1.0, 6, RejectReason::sees_nothing)), Contains("6 of 12 frames"));
    // Sharp locks, or enough of them, or frames that could not be read: the layout is not to blame.
    CHECK(message(survey(6, 0.3, 6, RejectReason::not_locked)).empty());
    CHECK(message(survey(11, 1.0, 1, RejectReason::not_locked)).empty());
    CHECK(message(survey(6, 1.0, 6, RejectReason::wrong_size)).empty());
}

TEST_CASE("layout check: what stands on a table in conflict is silenced, and nothing else", "[pipeline]") {
    const Layout layout = rows(2);
    LayoutConflicts conflicts;
    conflicts.compared = 2;
    conflicts.tables.push_back({1, kNaN, 5});
    std::vector<FrameOutcome> outcomes(1);
    const int on_right = layout.tables[0].modules.front();
    const int on_wrong = layout.tables[1].modules.front();
    outcomes[0].record.votes = {{1, 0, 4.0, on_right, true}, {1, 0, -3.0, on_wrong, false}, {2, 0, 0.0, -1, true}};
    silence_witnesses(layout, conflicts, outcomes);
    const auto& votes = outcomes[0].record.votes;
    REQUIRE(votes.size() == 3);
    CHECK(votes[0].log_likelihood == 4.0);
    CHECK(votes[0].witness == on_right);
    CHECK(votes[1].log_likelihood == 0.0);
    CHECK(votes[1].witness == -1);
    CHECK(votes[1].along == 1);
    CHECK_THAT(conflict_notes(layout, conflicts).at(0), Contains("does not have its modules where"));
    const auto modules = modules_in_conflict(layout, conflicts);
    CHECK(modules.size() == layout.tables[1].modules.size());
    CHECK(std::is_permutation(modules.begin(), modules.end(), layout.tables[1].modules.begin()));
}
