// Seasons of one site: what stays, what changes, and the truth of it.
#include "csv_table.hpp"
#include "fault_truth.hpp"
#include "output_folder.hpp"
#include "render.hpp"
#include "scene_fixture.hpp"
#include "seasons.hpp"
#include "world.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <map>

namespace {

namespace fs = std::filesystem;
using namespace scene;

std::string three_seasons() {
    return scene_test::small_scene_text() + R"(
[[season]]
id = "first"

[[season]]
id = "second"
start_utc = "2027-06-17T11:02:00"
grown = ["R1-T1-A02"]
growth = [1.5, 1.5]
repaired = ["R1-S2"]

[[season]]
id = "third"
start_utc = "2028-06-17T11:02:00"
replaced = ["R1-T1-A02"]
[[season.fault]]
pattern = "hot_cell"
module = "R1-T2-A01"
cell = "r1c1"
delta_t_1000_k = 15.0
[[season.rename]]
from = "R1-T1"
to = "North"
)";
}

const Fault* fault_on(const World& world, int panel) {
    const auto found = std::ranges::find(world.faults, panel, &Fault::panel);
    return found == world.faults.end() ? nullptr : &*found;
}

// By how much a cell of a module differs between two worlds, template removed, K.
double most_apart(const World& a, const World& b, std::size_t panel) {
    const HeatState state{1.0, 1.0, 1.0};
    const auto first = cell_residuals(a.heat[panel], state);
    const auto second = cell_residuals(b.heat[panel], state);
    double most = 0.0;
    for (std::size_t cell = 0; cell < first.size(); ++cell) {
        most = std::max(most, std::abs(first[cell] - second[cell]));
    }
    return most;
}

}  // namespace

TEST_CASE("seasons: faults grow, go and come, the site stays", "[scene]") {
    const SceneSpec spec = scene_test::read_scene_text(three_seasons());
    const World first(in_season(spec, 0), 3);
    const World second(in_season(spec, 1), 3);
    const World third(in_season(spec, 2), 3);
    const int grown = first.plant.find_panel("R1-T1-A02");
    const Fault* before = fault_on(first, grown);
    const Fault* after = fault_on(second, grown);
    REQUIRE((before != nullptr && after != nullptr));
    CHECK(after->number == before->number);
    CHECK(after->seed == before->seed);
    // The same heat makes another difference in another wind.
    const double by_wind = second.weather.reference_rise_k() / first.weather.reference_rise_k();
    CHECK(by_wind != Approx(1.0).epsilon(1e-4));
    CHECK(after->delta_t_1000_k == Approx(1.5 * before->delta_t_1000_k * by_wind));
    CHECK(std::ranges::count(first.faults, heatrow::Pattern::string_warm_cause_open, &Fault::pattern) == 1);
    CHECK(std::ranges::count(second.faults, heatrow::Pattern::string_warm_cause_open, &Fault::pattern) == 0);
    CHECK(fault_on(third, grown)->pattern == heatrow::Pattern::module_replaced);
    CHECK(third.plant.panels[static_cast<std::size_t>(grown)].renewals == 2);
    CHECK(third.plant.panels[static_cast<std::size_t>(grown)].id == "North-A02");
    CHECK(fault_on(third, first.plant.find_panel("R1-T2-A01")) != nullptr);

    // A healthy module is the same over the years, a replaced one differs; the day is another.
    const auto healthy = static_cast<std::size_t>(first.plant.find_panel("R1-T1-B01"));
    CHECK(most_apart(first, second, healthy) < 0.15);
    CHECK(most_apart(first, third, static_cast<std::size_t>(first.plant.find_panel("R1-T1-A01"))) < 0.15);
    CHECK(most_apart(first, third, static_cast<std::size_t>(grown)) > 0.5);
    CHECK(first.normals == third.normals);
    CHECK(first.hidden.emissivity_offset == third.hidden.emissivity_offset);
    CHECK(first.hidden.sky_offset_k != third.hidden.sky_offset_k);
    CHECK(first.shots.front().pose.position_in_site != second.shots.front().pose.position_in_site);
    // The first season is the scene itself.
    const World plain(scene_test::read_scene_text(scene_test::small_scene_text()), 3);
    CHECK(plain.shots.front().pose.position_in_site == first.shots.front().pose.position_in_site);
    CHECK(plain.heat[healthy].layers.front().map.values == first.heat[healthy].layers.front().map.values);
}

TEST_CASE("seasons: a folder each, with the truth of the changes", "[scene]") {
    const scene_test::TemporaryFolder folder;
    write_text(folder.path() / "scene.toml", three_seasons());
    const RenderOptions options{
        .scene = folder.path() / "scene.toml", .out = folder.path() / "out", .seed = {}, .threads = 2};
    CHECK(render_scene(options, [](int, int) {}).size() == 3);
    const fs::path out = folder.path() / "out";
    CHECK(scene_test::file_bytes(out / "seasons.csv") == "season,folder\nfirst,first\nsecond,second\nthird,third\n");
    CHECK_FALSE(fs::exists(out / "first/truth/changes.csv"));
    const auto table =
        CsvTable::read(out / "third/truth/changes.csv", {"since", "change", "module_before", "module", "pattern"});
    std::map<std::string, std::string> changes;
    for (std::size_t row = 0; row < table.size(); ++row) {
        const std::string place =
            table.text(row, "module").empty() ? table.text(row, "string_before") : table.text(row, "module_before");
        changes[table.text(row, "since") + " " + place + " " + table.text(row, "pattern")] = table.text(row, "change");
    }
    CHECK(changes.at("first R1-T1-A02 hot_cell") == "replaced");
    CHECK(changes.at("first R1-T1-B03 substring_bypassed") == "unchanged");
    CHECK(changes.at("first R1-S2 string_warm_cause_open") == "repaired");
    CHECK(changes.at("first R1-T2-A01 hot_cell") == "new");
    CHECK_FALSE(changes.contains("second R1-S2 string_warm_cause_open"));
    CHECK(scene_test::file_bytes(out / "third/truth/identities.csv").find("first,module,R1-T1-A02,North-A02,yes\n") !=
          std::string::npos);
    CHECK(scene_test::file_bytes(out / "third/layout.geojson").find("North-A02") != std::string::npos);
    // Such a folder may be replaced, as a survey may.
    RenderOptions again = options;
    again.overwrite = true;
    CHECK_NOTHROW(render_scene(again, [](int, int) {}));
}

TEST_CASE("seasons: what cannot be is refused", "[scene]") {
    CHECK_THROWS_WITH(scene_test::read_scene_text(scene_test::small_scene_text() + "[[season]]\nid = \"only\"\n"),
                      Catch::Contains("season") && Catch::Contains("twice or more"));
    CHECK_THROWS_WITH(scene_test::read_scene_text(scene_test::small_scene_text() +
                                                  "[[season]]\nid = \"a\"\nrepairs = 1\n[[season]]\nid = \"b\"\n"),
                      Catch::Contains("repairs is not a known key"));
    SceneSpec spec = scene_test::read_scene_text(three_seasons());
    spec.seasons[1].repaired = {"R1-T1-A01"};
    CHECK_THROWS_WITH(World(in_season(spec, 1), 3), Catch::Contains("R1-T1-A01") && Catch::Contains("has a fault"));
}
