#include "heatrow/georeference/layout_conflict.hpp"

#include "heatrow/georeference/frame_lock.hpp"
#include "support/module_field.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using namespace heatrow::test;
using Catch::Matchers::WithinAbs;
using Eigen::Vector3d;

namespace {

// Whole pitches taken off, as a lock cannot tell them.
double wrapped(double pitches) {
    return pitches - std::floor(pitches + 0.5);
}

// A frame that sees these tables and is locked on the one of index `locked` among them, with a scatter of its own.
SlotRecord sees(const std::vector<TableShift>& tables, std::size_t locked) {
    static int frame = 0;
    SlotRecord record;
    record.frame = frame++;
    for (const TableShift& one : tables) {
        const double scatter = 0.02 * std::sin(7.0 * frame + one.table);
        record.table_shifts.push_back({one.table, wrapped(one.along - tables[locked].along + scatter)});
    }
    return record;
}

}  // namespace

TEST_CASE("layout conflict: a row half a module off is found, whichever row the frames locked on", "[georeference]") {
    const TableShift first{0, 0.0};
    const TableShift wrong{1, 0.5};
    const TableShift third{2, 0.0};
    for (const std::size_t locked : {std::size_t{0}, std::size_t{1}}) {
        std::vector<SlotRecord> records;
        for (int i = 0; i < 5; ++i) {
            records.push_back(sees({first, wrong}, locked));
            records.push_back(sees({wrong, third}, 1 - locked));
            records.push_back(sees({wrong}, 0));
        }
        const LayoutConflicts conflicts = find_layout_conflicts(records);
        CHECK(conflicts.compared == 3);
        REQUIRE(conflicts.tables.size() == 1);
        CHECK(conflicts.tables[0].table == 1);
        CHECK(conflicts.tables[0].frames == 10);
        CHECK_THAT(std::abs(conflicts.tables[0].along), WithinAbs(0.5, 0.05));
    }
}

TEST_CASE("layout conflict: what is less than a quarter off, or off in few frames, is none", "[georeference]") {
    std::vector<SlotRecord> records;
    for (int i = 0; i < 12; ++i) {
        records.push_back(sees({{0, 0.0}, {1, 0.2}, {2, 0.0}, {3, i < 2 ? 0.5 : 0.0}}, 0));
    }
    const LayoutConflicts conflicts = find_layout_conflicts(records);
    CHECK(conflicts.compared == 4);
    CHECK(conflicts.tables.empty());
}

TEST_CASE("layout conflict: a table drawn too long is off by more and more, and has no one shift", "[georeference]") {
    std::vector<SlotRecord> records;
    for (int i = 0; i < 12; ++i) {
        records.push_back(sees({{0, 0.0}, {1, 0.0}, {2, 0.05 * i}}, 0));
    }
    const LayoutConflicts conflicts = find_layout_conflicts(records);
    REQUIRE(conflicts.tables.size() == 1);
    CHECK(conflicts.tables[0].table == 2);
    CHECK(std::isnan(conflicts.tables[0].along));
}

TEST_CASE("layout conflict: a table that is not where it is drawn, though no shift tells where", "[georeference]") {
    for (const int off : {2, 3}) {
        std::vector<SlotRecord> records;
        for (int i = 0; i < 8; ++i) {
            records.push_back(sees({{0, 0.0}, {1, 0.0}, {2, i < off ? kNaN : 0.0}}, 0));
        }
        const LayoutConflicts conflicts = find_layout_conflicts(records);
        REQUIRE(conflicts.tables.size() == (off < 3 ? 0 : 1));
        if (off == 3) {
            CHECK(conflicts.tables[0].table == 2);
            CHECK(std::isnan(conflicts.tables[0].along));
        }
    }
}

TEST_CASE("layout conflict: two tables alone cannot be told, one alone is left as it is", "[georeference]") {
    std::vector<SlotRecord> records;
    for (int i = 0; i < 5; ++i) {
        records.push_back(sees({{0, 0.0}, {1, 0.5}}, 0));
        records.push_back(sees({{7, 0.3}}, 0));
    }
    const LayoutConflicts conflicts = find_layout_conflicts(records);
    CHECK(conflicts.compared == 2);
    REQUIRE(conflicts.tables.size() == 2);
    CHECK(std::isnan(conflicts.tables[0].along));
    CHECK(std::isnan(conflicts.tables[1].along));
}

TEST_CASE("layout conflict: tables move along their row and their views have neighbours as candidates",
          "[georeference]") {
    const Layout layout = make_field(FieldOptions{});
    const LayoutIndex site(layout);
    LayoutConflicts conflicts;
    conflicts.compared = 2;
    conflicts.tables.push_back({1, 0.25, 3});
    const auto moved = move_tables(layout, conflicts, site.pitch_along());
    REQUIRE(moved);
    std::vector<PlacedView> views(layout.modules.size());
    for (std::size_t i = 0; i < views.size(); ++i) {
        const bool off = layout.modules[i].table == 1;
        CHECK(is_in_conflict(layout, static_cast<int>(i), conflicts) == off);
        const Vector3d by = moved->modules[i].centre_in_site() - layout.modules[i].centre_in_site();
        CHECK_THAT((by - (off ? 0.25 : 0.0) * site.pitch_along()).norm(), WithinAbs(0.0, 1e-9));
        views[i].module = static_cast<int>(i);
        views[i].placement = Placement::placed;
    }
    leave_open(site, conflicts, views);
    for (const PlacedView& view : views) {
        const bool off = layout.modules[static_cast<std::size_t>(view.module)].table == 1;
        CHECK((view.placement == Placement::ambiguous) == off);
        CHECK(view.candidates.empty() == !off);
    }
    conflicts.tables[0].along = std::nan("");
    const auto without = move_tables(layout, conflicts, site.pitch_along());
    REQUIRE(without);
    for (std::size_t i = 0; i < layout.modules.size(); ++i) {
        const Vector3d by = without->modules[i].centre_in_site() - layout.modules[i].centre_in_site();
        CHECK((by.norm() > 400.0) == (layout.modules[i].table == 1));
    }
    CHECK_FALSE(move_tables(layout, {}, site.pitch_along()));
}

TEST_CASE("layout conflict: a layout fits nowhere where few frames lock, and badly", "[georeference]") {
    std::vector<SlotRecord> records(6);
    for (SlotRecord& record : records) {
        record.expected_position_in_site = Vector3d::Zero();
        record.lock_rms_px = 1.0;
    }
    const auto fit = find_poor_fit(records, 6);
    REQUIRE(fit);
    CHECK(fit->locked == 6);
    CHECK(fit->not_locked == 6);
    CHECK_THAT(fit->rms_px, WithinAbs(1.0, 1e-9));
    CHECK_FALSE(find_poor_fit(records, 1));  // badly, but nearly everywhere: a lens, not the place
    for (SlotRecord& record : records) {
        record.lock_rms_px = 0.3;
    }
    CHECK_FALSE(find_poor_fit(records, 18));  // well: the others look at something else
    CHECK_FALSE(find_poor_fit({}, 18));
}

TEST_CASE("frame lock: says where each table's gaps are, though it locked on one row", "[georeference]") {
    const Layout drawn = make_field(FieldOptions{});
    const LayoutIndex site(drawn);
    LayoutConflicts built;
    built.tables.push_back({1, 0.4, 1});
    const auto real = move_tables(drawn, built, site.pitch_along());
    REQUIRE(real);
    FramePose truth = looking_down(5.0, 4.0, 18.0);
    truth.yaw = degrees(3.0);
    PaintOptions paint_options;
    paint_options.noise = 40.0;
    const Image<float> picture = paint(*real, PosedCamera(small_lens(), truth), paint_options);
    FramePrior prior;
    prior.pose = truth;
    const auto locked = lock_frame(site, small_lens(), prior, FlightAlignment{}, picture.view());
    REQUIRE(locked);
    REQUIRE(locked->table_shifts.size() == 2);
    CHECK(locked->table_shifts[0].table == 0);
    CHECK(locked->table_shifts[1].table == 1);
    CHECK_THAT(std::abs(wrapped(locked->table_shifts[1].along - locked->table_shifts[0].along)), WithinAbs(0.4, 0.05));
}
