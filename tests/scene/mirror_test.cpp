// What the truth lists as mirrored, and how it is graded.
#include "grade_mirrors.hpp"
#include "lens.hpp"
#include "mirror_truth.hpp"
#include "scene_fixture.hpp"
#include "sky.hpp"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace {

using namespace scene;

// The sun stands where the first shot's ray to the middle of this module's cell is mirrored.
SceneSpec with_sun_on(SceneSpec spec, int panel, int cell) {
    const World world(spec, 3);
    const PanelType& type = world.plant.type_of(panel);
    const auto box = type.cell_box(cell);
    const Eigen::Vector3d at =
        world.plant.point_in_site(panel, 0.5 * (box.left + box.right), 0.5 * (box.top + box.bottom));
    const Eigen::Vector3d ray = (at - world.shots.front().pose.position_in_site).normalized();
    const Eigen::Vector3d& normal = world.plant.table_of(panel).face.normal;
    const Eigen::Vector3d mirrored = ray - 2.0 * ray.dot(normal) * normal;
    spec.sky.sun_elevation_deg = std::asin(mirrored.z()) * 180.0 / std::numbers::pi;
    spec.sky.sun_azimuth_deg = std::atan2(mirrored.x(), mirrored.y()) * 180.0 / std::numbers::pi;
    return spec;
}

std::vector<MirrorTruth> mirrors_of_first(const SceneSpec& spec) {
    const World world(spec, 3);
    return true_mirrors(world, 0, true_views(world, 0));
}

int whole_panel(const SceneSpec& spec) {
    const World world(spec, 3);
    const auto views = true_views(world, 0);
    const auto whole = std::ranges::find_if(views, [](const ViewTruth& view) { return view.whole(); });
    REQUIRE(whole != views.end());
    return whole->panel;
}

MirroredThing mirrored(const std::string& module, const std::string& kind, std::set<int> cells) {
    return {"f1", module, kind, 2.0, std::move(cells)};
}

Abnormality place(const std::string& module, const std::string& string, std::set<int> cells, bool in_scope = false) {
    Abnormality result;
    result.module = module;
    result.string = string;
    result.pattern = "hot_cell";
    result.cells = std::move(cells);
    result.in_scope = in_scope;
    return result;
}

}  // namespace

TEST_CASE("mirrors: the sun is listed at the cell that shows it, and with the lobe of that glass", "[scene]") {
    SceneSpec spec = scene_test::quiet_scene();
    const int panel = whole_panel(spec);
    constexpr int kCell = 26;
    spec = with_sun_on(spec, panel, kCell);
    spec.sky.glint_lobe_deg = 1.0;
    const auto narrow = mirrors_of_first(spec);
    const auto found = std::ranges::find(narrow, panel, &MirrorTruth::panel);
    REQUIRE(found != narrow.end());
    CHECK(found->kind == MirrorKind::sun);
    CHECK(found->peak_cell == kCell);
    CHECK(found->peak_k > 10.0);
    CHECK(std::ranges::find(found->cells, kCell) != found->cells.end());
    CHECK(std::ranges::is_sorted(found->cells));

    spec.blocks.front().glint_lobe_deg = 4.0;  // wins over the sky's
    const auto wide = mirrors_of_first(spec);
    const auto soft = std::ranges::find(wide, panel, &MirrorTruth::panel);
    REQUIRE(soft != wide.end());
    CHECK(soft->peak_k < 0.3 * found->peak_k);
    CHECK(soft->cells.size() > found->cells.size());

    spec.sky.sun_elevation_deg = -5.0;
    CHECK(mirrors_of_first(spec).empty());
}

TEST_CASE("mirrors: an even cover of clouds is none, the edge of one is", "[scene]") {
    SceneSpec spec = scene_test::quiet_scene();
    spec.sky.sun_azimuth_deg = 0.0;
    spec.sky.sun_elevation_deg = -5.0;
    CHECK(mirrors_of_first(spec).empty());
    CloudSpec cloud;
    cloud.azimuth_deg = 180.0;
    cloud.elevation_deg = 45.0;
    cloud.width_deg = 360.0;
    spec.sky.clouds = {cloud};
    CHECK(mirrors_of_first(spec).empty());
    spec.sky.clouds.front().width_deg = 8.0;
    spec.sky.clouds.front().edge_deg = 1.0;
    const World world(spec, 3);
    const Eigen::Vector3d sight = site_from_camera(world.shots.front().pose).col(2);
    const Eigen::Vector3d& normal = world.plant.tables.front().face.normal;
    const Eigen::Vector3d up = sight - 2.0 * sight.dot(normal) * normal;
    spec.sky.clouds.front().elevation_deg = std::asin(up.z()) * 180.0 / std::numbers::pi;
    spec.sky.clouds.front().azimuth_deg = std::atan2(up.x(), up.y()) * 180.0 / std::numbers::pi;
    const auto edges = mirrors_of_first(spec);
    REQUIRE_FALSE(edges.empty());
    CHECK(std::ranges::all_of(edges, [](const MirrorTruth& mirror) { return mirror.kind == MirrorKind::cloud; }));
}

TEST_CASE("grade: a false finding on mirrored cells reports them, a true one does not", "[scene]") {
    GradeInput input;
    input.string_of = {{"m1", "s1"}, {"m2", "s1"}, {"m3", "s2"}};
    input.mirrored = {mirrored("m1", "sun", {3, 4}),
                      mirrored("m1", "cloud", {9}),
                      mirrored("m2", "sun", {3}),
                      mirrored("m3", "operator", {1})};
    input.faults = {place("m2", "s1", {3}, true), place("m3", "s2", {7}, true), place("m1", "s1", {5}, true)};
    input.findings = {place("m1", "s1", {4}), place("m2", "s1", {3})};
    MirrorSums sums;
    add_mirrors(sums, input);
    CHECK(sums.sun == 2);
    CHECK(sums.others == 2);
    CHECK(sums.sun_reported == 1);  // on m1; the finding on m2 is the fault
    CHECK(sums.others_reported == 0);
    CHECK(sums.zone_faults == 1);  // m2's: m1's lies beside the lit cells, m3 mirrors no sun
    CHECK(sums.zone_faults_found == 1);
    // A warm string that is none reports every sun in it.
    input.findings = {place("", "s1", {})};
    MirrorSums string;
    add_mirrors(string, input);
    CHECK(string.sun_reported == 2);
    CHECK(string.zone_faults_found == 0);
}
