// Layouts that differ from the site, and how the grader takes what the analysis says of them.
#include "csv_table.hpp"
#include "declared_layout.hpp"
#include "grade_outcomes.hpp"
#include "output_folder.hpp"
#include "scene_fixture.hpp"
#include "truth_writer.hpp"

#include <catch2/catch.hpp>

using namespace scene;

TEST_CASE("layout error: a part is moved and stretched, the rest only shifted", "[scene]") {
    const SceneSpec spec = scene_test::read_scene_text(scene_test::small_scene_text() + R"(
[layout_error]
shift_m = [3.0, -4.0]
[[layout_error.part]]
tables = ["R1-T2"]
along_m = 0.5
up_scale = 1.1
)");
    const Plant plant = build_plant(spec);
    const DeclaredLayout declared(spec, plant);
    const Eigen::Vector3d shift(3.0, -4.0, 0.0);
    const int right = plant.find_panel("R1-T1-B02");
    CHECK(declared.part_of(right) == -1);
    CHECK((declared.point_in_site(right, 0.2, 0.3) - plant.point_in_site(right, 0.2, 0.3) - shift).norm() < 1e-12);
    const int wrong = plant.find_panel("R1-T2-B02");
    CHECK(declared.part_of(wrong) == 0);
    const Face& face = plant.table_of(wrong).face;
    const auto at = [&](const Eigen::Vector3d& point) {
        const Eigen::Vector3d offset = point - face.origin;
        return Eigen::Vector2d(face.right.dot(offset), face.up.dot(offset));
    };
    const Eigen::Vector2d true_place = at(plant.point_in_site(wrong, 0.2, 0.3));
    const Eigen::Vector2d drawn = at(declared.point_in_site(wrong, 0.2, 0.3) - shift);
    CHECK(drawn.x() == Approx(true_place.x() + 0.5));
    CHECK(drawn.y() == Approx(1.1 * true_place.y()));

    SceneSpec lost = spec;
    lost.layout_error.parts.front().tables = {"R9-T1"};
    CHECK_THROWS_WITH(DeclaredLayout(lost, plant), Catch::Contains("R9-T1") && Catch::Contains("no such table"));
    CHECK_THROWS_WITH(scene_test::read_scene_text(scene_test::small_scene_text() +
                                                  "[[layout_error.part]]\ntables = [\"R1-T2\"]\nalong = 1.0\n"),
                      Catch::Contains("along is not a known key"));
}

TEST_CASE("layout error: the truth names the modules, the camera sees the site", "[scene]") {
    const std::string text = scene_test::small_scene_text();
    const World plain(scene_test::read_scene_text(text), 3);
    const World world(
        scene_test::read_scene_text(text + "[[layout_error.part]]\ntables = [\"R1-T2\"]\nalong_m = 0.5\n"), 3);
    const auto views = true_views(world, 1);
    const auto same = true_views(plain, 1);
    REQUIRE(views.size() == same.size());
    CHECK(views.front().corners_px[0] == same.front().corners_px[0]);
    const scene_test::TemporaryFolder folder;
    write_truth(world, {}, {}, {}, {}, folder.path() / "truth");
    const auto table = CsvTable::read(folder.path() / "truth/layout_errors.csv", {"part", "table", "module"});
    REQUIRE(table.size() == 6);
    CHECK(table.text(0, "part") == "1");
    CHECK(table.text(0, "table") == "R1-T2");
}

TEST_CASE("grade: a conflict is told by its word and place, a refusal by itself", "[scene]") {
    GradeInput input;
    input.facts.set("expected", "named");
    input.wrong_layout_parts["1"] = {{"R2-T1", "R2-T2"}, {"m1", "m2"}};
    input.outlines = {{"f1", "m1", {}, 1.0}, {"f1", "m2", {}, 1.0}, {"f1", "m3", {}, 1.0}};
    input.views = {
        {"f1", "m1", {}, 1.0, "ambiguous"}, {"f1", "m2", {}, 1.0, "placed"}, {"f1", "m3", {}, 1.0, "placed"}};
    input.notes = {"Layout conflict: row R3 lies elsewhere", "row R2 is ambiguous"};
    OutcomeSums sums;
    add_outcomes(sums, input);
    CHECK(sums.wrong_parts == 1);
    CHECK(sums.wrong_parts_told == 0);
    CHECK(sums.wrong_modules == 2);
    CHECK(sums.wrong_modules_left == 1);
    input.notes.emplace_back("Layout conflict: row R2 lies 0.5 m elsewhere");
    add_outcomes(sums, input);
    CHECK(sums.wrong_parts_told == 1);

    GradeInput shifted;
    shifted.facts.set("expected", "refused");
    add_outcomes(sums, shifted);
    shifted.refused = "the layout does not fit";
    add_outcomes(sums, shifted);
    CHECK(sums.to_refuse == 2);
    CHECK(sums.to_refuse_refused == 1);
    CHECK(sums.to_answer_refused == 0);
}
