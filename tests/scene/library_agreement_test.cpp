// The renderer and the library, written apart, must mean the same by a file, a pose and a type.
#include "flight.hpp"
#include "heatrow/camera/lens.hpp"
#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/io/layout_reader.hpp"
#include "heatrow/io/module_type_reader.hpp"
#include "heatrow/io/survey_poses.hpp"
#include "heatrow/io/survey_settings.hpp"
#include "lens.hpp"
#include "plant.hpp"
#include "render.hpp"
#include "scene_fixture.hpp"
#include "survey_writer.hpp"
#include "truth.hpp"

#include <catch2/catch.hpp>

namespace {

using namespace scene;

scene::SceneSpec landscape_scene(const std::string& top) {
    std::string text = scene_test::small_scene_text();
    text.replace(text.find("generic-60-full"), 15, "generic-120-half-cut");
    text.replace(text.find("modules_up = 2"), 14, "modules_up = 2\nazimuth_deg = 205.0\ntop = \"" + top + "\"");
    return scene_test::read_scene_text(text);
}

}  // namespace

TEST_CASE("agreement: the library's camera puts every corner where outlines.csv has it", "[scene]") {
    const World world(scene_test::quiet_scene(), 3);
    const CameraSpec& spec = world.spec.camera;
    const heatrow::Lens lens{.width_px = spec.width_px,
                             .height_px = spec.height_px,
                             .focal_px = spec.focal_px,
                             .principal_point_px = spec.principal_point_px,
                             .k1 = spec.distortion[0],
                             .k2 = spec.distortion[1],
                             .p1 = spec.distortion[2],
                             .p2 = spec.distortion[3],
                             .k3 = spec.distortion[4]};
    int corners = 0;
    for (int shot = 0; shot < static_cast<int>(world.shots.size()); ++shot) {
        const heatrow::PosedCamera camera(lens, world.shots[static_cast<std::size_t>(shot)].pose);
        for (const ViewTruth& view : true_views(world, shot)) {
            const auto in_site = world.plant.corners_in_site(view.panel);
            for (std::size_t i = 0; i < 4; ++i) {
                const auto pixel = camera.project(in_site[i]);
                REQUIRE(pixel);
                CHECK((*pixel - view.corners_px[i]).norm() < 1e-3);
                ++corners;
            }
        }
        const Eigen::Vector2d somewhere(13.25, 140.5);
        const Eigen::Vector2d ray = ray_of_pixel(spec, somewhere);
        CHECK((heatrow::ray_in_camera(lens, somewhere) - Eigen::Vector3d(ray.x(), ray.y(), 1.0).normalized()).norm() <
              1e-8);
    }
    CHECK(corners > 100);
}

TEST_CASE("agreement: the library reads the layout as it was built, for every direction of top", "[scene]") {
    for (const std::string top : {"up", "down", "left", "right"}) {
        INFO(top);
        SceneSpec spec = landscape_scene(top);
        const World world(spec, 3);
        const scene_test::TemporaryFolder folder;
        write_survey(world, std::vector<std::vector<ViewTruth>>(world.shots.size()), folder.path());
        const auto settings = heatrow::read_survey_settings(folder.path());
        const heatrow::ModuleTypeCatalogue types({*settings.site.module_types});
        const auto layout = heatrow::read_layout(settings.site.layout, types, settings.site.origin);
        REQUIRE(layout.modules.size() == world.plant.panels.size());
        REQUIRE(layout.strings.size() == world.plant.strings.size());
        for (const heatrow::Module& module : layout.modules) {
            const int panel = world.plant.find_panel(module.id);
            REQUIRE(panel >= 0);
            const auto corners = world.plant.corners_in_site(panel);
            for (std::size_t i = 0; i < 4; ++i) {
                CHECK((module.corners_in_site[i] - corners[i]).norm() < 1e-4);
            }
            const Panel& place = world.plant.panels[static_cast<std::size_t>(panel)];
            CHECK(layout.strings[static_cast<std::size_t>(module.string)].id ==
                  world.plant.strings[static_cast<std::size_t>(place.string)].id);
            CHECK(module.position == place.position);
        }
    }
}

TEST_CASE("agreement: the library reads the poses as they were logged", "[scene]") {
    const World world(scene_test::read_scene_text(scene_test::small_scene_text()), 3);
    const scene_test::TemporaryFolder folder;
    write_survey(world, std::vector<std::vector<ViewTruth>>(world.shots.size()), folder.path());
    const auto settings = heatrow::read_survey_settings(folder.path());
    heatrow::Layout place;
    place.origin = *settings.site.origin;
    const auto table = heatrow::read_survey_poses(settings, {}, place).table;
    REQUIRE(table.rows.size() == world.shots.size());
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
        const auto& logged = world.shots[i].logged;
        REQUIRE(table.rows[i].pose);
        CHECK((table.rows[i].pose->position_in_site - logged.position_in_site).norm() < 1e-3);
        CHECK(std::abs(heatrow::wrap_half_turn(table.rows[i].pose->yaw - logged.yaw).value()) < 2e-5);
        CHECK(std::abs(table.rows[i].pose->pitch.value() - logged.pitch.value()) < 2e-5);
    }
}

TEST_CASE("agreement: cells of a type lie in the same place, the middle gap included", "[scene]") {
    for (const std::string id : {"generic-60-full", "generic-120-half-cut"}) {
        const std::filesystem::path file = std::filesystem::path(HEATROW_MODULE_TYPES) / (id + ".toml");
        const PanelType ours = read_panel_type_file(file);
        const heatrow::ModuleType theirs = heatrow::read_module_type(file);
        REQUIRE(ours.cell_count() == theirs.cell_count());
        for (int cell = 0; cell < ours.cell_count(); ++cell) {
            const auto box = ours.cell_box(cell);
            const auto corners = theirs.cell_corners(theirs.cell_at(cell));
            CHECK(box.left == Approx(corners[0].x()));
            CHECK(box.top == Approx(corners[0].y()));
            CHECK(box.right == Approx(corners[2].x()));
            CHECK(box.bottom == Approx(corners[2].y()));
            CHECK(ours.substring_of_cell[static_cast<std::size_t>(cell)] ==
                  theirs.substring_of_cell[static_cast<std::size_t>(cell)]);
            CHECK(ours.cell_at(0.5 * (box.left + box.right), 0.5 * (box.top + box.bottom)) == cell);
        }
        const auto last = ours.cell_box(ours.cell_count() - 1);
        CHECK(last.bottom == Approx(ours.cells_top_m + ours.cells_height_m));
    }
    const PanelType half_cut =
        read_panel_type_file(std::filesystem::path(HEATROW_MODULE_TYPES) / "generic-120-half-cut.toml");
    CHECK(half_cut.cell_at(0.3, 0.5 * half_cut.height_m) == -1);  // in the middle gap
}
