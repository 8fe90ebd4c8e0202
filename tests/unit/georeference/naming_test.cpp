#include "heatrow/georeference/naming.hpp"

#include <catch2/catch.hpp>

#include <limits>

using namespace heatrow;

namespace {

SlotRecord record(int frame, std::initializer_list<int> modules, double slip_margin) {
    SlotRecord slots;
    slots.frame = frame;
    slots.slip_margin = slip_margin;
    for (const int module : modules) {
        ModuleSlot slot;
        slot.module = module;
        slots.slots.push_back(slot);
    }
    return slots;
}

constexpr double kInfinity = std::numeric_limits<double>::infinity();

}  // namespace

TEST_CASE("naming: names follow the alignment, the smaller margin decides", "[georeference]") {
    const std::vector<SlotRecord> records{record(4, {7, 8}, 10.0), record(5, {8}, 0.5), record(6, {9}, kInfinity)};
    FlightAlignment alignment;
    alignment.margin = 6.0;
    const std::vector<PlacedView> views = name_views(records, alignment);
    REQUIRE(views.size() == 4);
    CHECK(views[0].frame == 4);
    CHECK(views[1].module == 8);
    CHECK(views[1].slot == 1);
    CHECK(views[1].placement == Placement::placed);
    CHECK(views[1].placement_margin == 6.0);
    CHECK(views[2].placement == Placement::ambiguous);
    CHECK(views[2].placement_margin == 0.5);
    CHECK(views[3].placement == Placement::placed);
}

TEST_CASE("naming: a flight that may lie elsewhere names nothing", "[georeference]") {
    FlightAlignment alignment;
    alignment.margin = 1.0;
    for (const PlacedView& view : name_views(std::vector{record(0, {1, 2}, kInfinity)}, alignment)) {
        CHECK(view.placement == Placement::ambiguous);
    }
}

TEST_CASE("naming: corner points fix the names", "[georeference]") {
    const auto views = name_views(std::vector{record(0, {1}, kInfinity)}, fixed_by_points());
    REQUIRE(views.size() == 1);
    CHECK(views[0].placement == Placement::placed);
    CHECK(views[0].placement_margin == kInfinity);
}
