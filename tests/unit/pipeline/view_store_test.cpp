#include "view_store.hpp"

#include "support/temp_folder.hpp"

#include <catch2/catch.hpp>

#include <filesystem>
#include <vector>

using namespace heatrow;

namespace {

// Of a frame with modules of one, two and three cells.
std::vector<ModuleView> views_of_frame(int frame) {
    std::vector<ModuleView> views(3);
    for (std::size_t i = 0; i < views.size(); ++i) {
        views[i].frame = frame;
        views[i].smear_px = 0.25;
        for (std::size_t cell = 0; cell <= i; ++cell) {
            const auto level = 10.0F * static_cast<float>(frame) + static_cast<float>(cell);
            views[i].mean_c.push_back(level);
            views[i].hottest_c.push_back(level + 0.5F);
            views[i].spread_k.push_back(0.125F);
            views[i].pixels.push_back(30.0F + static_cast<float>(cell));
        }
    }
    return views;
}

void check_same(const ModuleView& a, const ModuleView& b) {
    CHECK(a.frame == b.frame);
    CHECK(a.smear_px == b.smear_px);
    CHECK(a.mean_c == b.mean_c);
    CHECK(a.hottest_c == b.hottest_c);
    CHECK(a.spread_k == b.spread_k);
    CHECK(a.pixels == b.pixels);
}

}  // namespace

TEST_CASE("view store: figures of cells come back whole, from disk or from memory", "[pipeline]") {
    const testing::TempFolder temp;
    const bool on_disk = GENERATE(true, false);
    ViewStore store(on_disk ? temp.path() : temp.path() / "missing");
    const auto first = store.put_away(views_of_frame(1));
    const auto second = store.put_away(views_of_frame(2));
    REQUIRE(first.size() == 3);
    REQUIRE(second.size() == 3);
    for (std::size_t i = 0; i < 3; ++i) {
        CHECK(first[i].view.mean_c.empty() == on_disk);
        check_same(store.take_out(first[i]), views_of_frame(1)[i]);
        check_same(store.take_out(second[i]), views_of_frame(2)[i]);
    }
    CHECK(second[1].level_c == 20.5);
    CHECK(std::filesystem::is_empty(temp.path()));
}

TEST_CASE("view store: one without a folder keeps levels only", "[pipeline]") {
    ViewStore store;
    const auto stored = store.put_away(views_of_frame(1));
    CHECK(stored[2].level_c == 11.0);
    CHECK(store.take_out(stored[2]).mean_c.empty());
}
