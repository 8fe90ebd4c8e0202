#include "heatrow/georeference/naming.hpp"

#include "support/module_field.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>

using namespace heatrow;

namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr int kSeen = 8;  // modules along, in one frame

Layout two_rows(int modules_along) {
    test::FieldOptions options;
    options.rows = 2;
    options.modules_along = modules_along;
    return test::make_field(options);
}

std::vector<int> row_of(const LayoutIndex& site, int row) {
    std::vector<int> modules;
    for (int i = 0; i < static_cast<int>(site.layout().modules.size()); ++i) {
        modules.push_back(i);
    }
    const auto north = [&](int module) { return site.centre_in_site(module).y(); };
    const double middle =
        0.5 *
        (north(*std::min_element(modules.begin(), modules.end(), [&](int a, int b) { return north(a) < north(b); })) +
         north(*std::max_element(modules.begin(), modules.end(), [&](int a, int b) { return north(a) < north(b); })));
    std::erase_if(modules, [&](int module) { return (north(module) > middle) != (row == 1); });
    std::sort(modules.begin(), modules.end(), [&](int a, int b) {
        return site.centre_in_site(a).x() < site.centre_in_site(b).x();
    });
    return modules;
}

// Frames that look at both rows from place `first` on (of which the layout has no modules below 0), locked `slip`
// modules too far along.
struct Flight {
    const LayoutIndex& site;
    std::vector<int> rows[2];
    std::vector<double> levels;
    std::mt19937 random{3};

    explicit Flight(const LayoutIndex& index) : site(index), rows{row_of(index, 0), row_of(index, 1)} {
        std::normal_distribution<double> normal;
        for (std::size_t i = 0; i < site.layout().modules.size(); ++i) {
            levels.push_back(5000.0 + 20.0 * normal(random));
        }
    }

    SlotRecord look(int frame, int first, int slip = 0) {
        std::normal_distribution<double> noise(0.0, 2.0);
        SlotRecord record;
        record.frame = frame;
        record.pose.position_in_site = (first + slip) * site.pitch_along();
        record.expected_position_in_site = first * site.pitch_along() + Eigen::Vector3d(0.1, 0.0, 0.0);
        const int last = static_cast<int>(rows[0].size()) - 1;
        for (const auto& row : rows) {
            for (int place = first; place < first + kSeen; ++place) {
                const int named = place + slip;
                if (named < 0 || named > last) {
                    continue;
                }
                const bool is_module = place >= 0 && place <= last;
                ModuleSlot slot;
                slot.module = row[static_cast<std::size_t>(named)];
                const double level =
                    is_module ? levels[static_cast<std::size_t>(row[static_cast<std::size_t>(place)])] : 4000.0;
                slot.cells.assign(4, CellSample{static_cast<float>(level + noise(random)), 0.0F, 0.0F, 9.0F});
                record.slots.push_back(slot);
            }
        }
        for (int along = -4; along <= 4; ++along) {
            if (along != 0) {
                vote(record, first, slip, along);
            }
        }
        return record;
    }

    // By the modules that stand at one place and not at the other, as the lock's votes do.
    void vote(SlotRecord& record, int first, int slip, int along) {
        const int last = static_cast<int>(rows[0].size()) - 1;
        const auto has = [&](int place) { return place >= 0 && place <= last; };
        const std::size_t before = record.votes.size();
        for (const auto& row : rows) {
            for (const bool here : {true, false}) {
                double says = 0.0;
                int witness = -1;
                for (int place = first; place < first + kSeen; ++place) {
                    const int at_lock = place + slip;
                    const int at_other = place + slip + along;
                    if (has(at_lock) == has(at_other) || has(at_lock) != here) {
                        continue;
                    }
                    says += has(place) ? 3.0 : -3.0;
                    witness = row[static_cast<std::size_t>(here ? at_lock : at_other)];
                }
                if (witness >= 0) {
                    record.votes.push_back({along, 0, std::clamp(here ? -says : says, -5.0, 5.0), witness, here});
                }
            }
        }
        if (record.votes.size() == before) {
            record.votes.push_back({along, 0, 0.0, -1, true});
        }
    }
};

std::vector<double> seconds(std::size_t count) {
    std::vector<double> times;
    for (std::size_t i = 0; i < count; ++i) {
        times.push_back(1.5 * static_cast<double>(i));
    }
    return times;
}

bool all_named(const std::vector<FrameName>& names) {
    return std::all_of(names.begin(), names.end(), [](const FrameName& name) { return name.named; });
}

}  // namespace

TEST_CASE("naming: a flight from end to end is named, and a frame that slipped is moved back", "[georeference]") {
    const Layout layout = two_rows(30);
    const LayoutIndex site(layout);
    Flight flight(site);
    std::vector<SlotRecord> records;
    for (int first = -3; first <= 25; first += 2) {
        records.push_back(flight.look(static_cast<int>(records.size()), first, first == 11 ? 1 : 0));
    }
    const auto names = name_frames(site, records, seconds(records.size()));
    CHECK(all_named(names));
    const std::size_t slipped = 7;
    for (std::size_t i = 0; i < names.size(); ++i) {
        CHECK(names[i].offset == (i == slipped ? LatticeOffset{-1, 0} : LatticeOffset{}));
    }
    const auto views = name_views(site, records, names);
    for (const PlacedView& view : views) {
        CHECK(view.placement == Placement::placed);
        CHECK(view.candidates.empty());
    }
    // The slipped frame's first slot was labelled place 12 and shows place 11.
    const auto first = std::find_if(views.begin(), views.end(), [&](const PlacedView& v) { return v.frame == 7; });
    CHECK(records[slipped].slots[0].module == flight.rows[0][12]);
    CHECK(first->module == flight.rows[0][11]);
}

TEST_CASE("naming: the middle of long rows is ambiguous, with its candidates", "[georeference]") {
    const Layout layout = two_rows(60);
    const LayoutIndex site(layout);
    Flight flight(site);
    std::vector<SlotRecord> records;
    for (int first = 15; first <= 35; first += 2) {
        records.push_back(flight.look(static_cast<int>(records.size()), first));
    }
    const auto names = name_frames(site, records, seconds(records.size()));
    const auto views = name_views(site, records, names);
    REQUIRE(views.size() == records.size() * 2 * kSeen);
    CHECK(names.front().reason == PlaceReason::nothing_tells);
    for (const PlacedView& view : views) {
        CHECK(view.placement == Placement::ambiguous);
        CHECK(view.candidates.size() == 8);
        CHECK(std::count(view.candidates.begin(), view.candidates.end(), view.module) == 0);
    }
}

TEST_CASE("naming: corner points fix the names, frames without slots have none", "[georeference]") {
    const Layout layout = two_rows(30);
    const LayoutIndex site(layout);
    Flight flight(site);
    std::vector<SlotRecord> records{flight.look(0, 10), SlotRecord{}, flight.look(2, 12)};
    records[1].frame = 1;
    for (SlotRecord& record : records) {
        record.votes.clear();
        record.expected_position_in_site = Eigen::Vector3d::Constant(kNaN);
    }
    const auto names = name_frames(site, records, seconds(records.size()));
    CHECK(names[0].named);
    CHECK(names[0].log_odds == kInfinity);
    CHECK_FALSE(names[1].named);
    CHECK(names[2].named);
}

TEST_CASE("naming: a step of the lattice leads to a module, or beyond the row to none", "[georeference]") {
    const Layout layout = two_rows(10);
    const LayoutIndex site(layout);
    const std::vector<int> row = row_of(site, 0);
    const int step =
        site.centre_in_site(row[1]).x() > site.centre_in_site(row[0]).x() == (site.pitch_along().x() > 0.0) ? 1 : -1;
    CHECK(module_at(site, row[3], {2 * step, 0}) == row[5]);
    CHECK(module_at(site, row[3], {0, 0}) == row[3]);
    CHECK_FALSE(module_at(site, row[9], {step, 0}));
}

TEST_CASE("naming: one known frame names those that hang together with it", "[georeference]") {
    const Layout layout = two_rows(60);
    const LayoutIndex site(layout);
    Flight flight(site);
    std::vector<SlotRecord> records;
    // No end of the rows is in view, and all frames lie one module too far.
    for (int first = 20; first <= 38; first += 2) {
        records.push_back(flight.look(static_cast<int>(records.size()), first, 1));
    }
    const auto times = seconds(records.size());
    const auto alone = name_frames(site, records, times);
    CHECK(std::none_of(alone.begin(), alone.end(), [](const FrameName& name) { return name.named; }));

    std::vector<std::optional<LatticeOffset>> known(records.size());
    known[4] = LatticeOffset{-1, 0};
    for (const FrameName& name : name_frames(site, records, times, known)) {
        CHECK(name.named);
        CHECK(name.offset == LatticeOffset{-1, 0});
        CHECK(name.log_odds == kInfinity);
    }
    // Farther than any frame had thought of.
    known[4] = LatticeOffset{-7, 0};
    for (const FrameName& name : name_frames(site, records, times, known)) {
        CHECK(name.named);
        CHECK(name.offset == LatticeOffset{-7, 0});
    }
    // Another frame is said to be elsewhere.
    known[4] = LatticeOffset{-1, 0};
    known[7] = LatticeOffset{2, 0};
    for (const FrameName& name : name_frames(site, records, times, known)) {
        CHECK_FALSE(name.named);
        CHECK(name.reason == PlaceReason::control_contradicted);
        CHECK_FALSE(name.rivals.empty());
    }
}

TEST_CASE("naming: a known frame against what the flight shows takes the names, and its place is a rival",
          "[georeference]") {
    const Layout layout = two_rows(30);
    const LayoutIndex site(layout);
    Flight flight(site);
    std::vector<SlotRecord> records;
    for (int first = -3; first <= 25; first += 2) {
        records.push_back(flight.look(static_cast<int>(records.size()), first));
    }
    const auto times = seconds(records.size());
    REQUIRE(all_named(name_frames(site, records, times)));
    std::vector<std::optional<LatticeOffset>> known(records.size());
    known[3] = LatticeOffset{};
    CHECK(all_named(name_frames(site, records, times, known)));
    known[3] = LatticeOffset{2, 0};
    for (const FrameName& name : name_frames(site, records, times, known)) {
        CHECK_FALSE(name.named);
        CHECK(name.reason == PlaceReason::control_contradicted);
        CHECK(name.offset == LatticeOffset{});
        CHECK(std::find(name.rivals.begin(), name.rivals.end(), LatticeOffset{2, 0}) != name.rivals.end());
    }
}
