// Grids of single frames joined over a flight, on fields of known corners.
#include "heatrow/georeference/grid_joining.hpp"

#include "heatrow/camera/posed_camera.hpp"
#include "support/module_field.hpp"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <random>
#include <set>

using namespace heatrow;
using namespace heatrow::test;
using Eigen::Vector3d;

namespace {

// Two rows of two tables of 2 x 6 modules, flown in two lanes that look along the rows in turn.
FieldOptions two_rows() {
    FieldOptions field;
    field.rows = 2;
    field.tables_in_row = 2;
    field.modules_along = 6;
    field.modules_up = 2;
    field.table_gap_m = 1.4;
    return field;
}

struct Flight {
    std::vector<FramePose> poses;
    std::vector<SeenFrame> frames;
};

double level_of(int module) {
    return 5000.0 + 40.0 * std::sin(12.9898 * module);
}

// What a frame shows of each table: modules whose middle is in the picture, in a lattice counted as the picture lies.
std::vector<SeenGrid> grids_of(const Layout& layout, const PosedCamera& camera, const std::set<int>& missing) {
    std::vector<SeenGrid> grids;
    for (const Table& table : layout.tables) {
        const Module& first = layout.modules[static_cast<std::size_t>(table.modules.front())];
        const auto& corners = first.corners_in_site;
        const Vector3d right = (corners[1] - corners[0]).normalized();
        const Vector3d up = (corners[0] - corners[3]).normalized();
        const Eigen::Vector2d pitch(0.992 + 0.02, 1.650 + 0.02);
        Eigen::Matrix3d axes;
        axes << right, up, right.cross(up);
        Eigen::Matrix3d camera_from_plane = camera.camera_from_site_rotation() * axes;
        const bool upside_down = camera_from_plane(0, 0) < 0.0;  // the row runs to the left of the picture
        SeenGrid grid;
        grid.pitch_m = pitch;
        camera_from_plane.leftCols<2>() *= upside_down ? -1.0 : 1.0;
        grid.camera_from_plane = camera_from_plane;
        for (const int index : table.modules) {
            const Vector3d centre = layout.modules[static_cast<std::size_t>(index)].centre_in_site();
            const auto pixel = camera.project(centre);
            if (missing.contains(index) || !pixel || !inside_picture(camera.lens(), *pixel)) {
                continue;
            }
            const Vector3d from_first = centre - first.centre_in_site();
            const int sign = upside_down ? -1 : 1;
            SeenModule seen;
            seen.column = sign * static_cast<int>(std::lround(from_first.dot(right) / pitch.x()));
            seen.row = -sign * static_cast<int>(std::lround(from_first.dot(up) / pitch.y()));
            seen.centre_in_camera = camera.to_camera(centre);
            seen.level = level_of(index);
            seen.whole = inside_picture(camera.lens(), *pixel, 25.0);
            grid.modules.push_back(seen);
        }
        if (grid.modules.size() >= 4) {
            grids.push_back(std::move(grid));
        }
    }
    return grids;
}

Flight fly(
    const Layout& layout, const Vector3d& bias, double noise_m, double yaw_off_deg, const std::set<int>& missing) {
    Flight flight;
    std::mt19937_64 random(5);
    std::normal_distribution<double> normal;
    for (int lane = 0; lane < 2; ++lane) {
        for (int step = 0; step < 9; ++step) {
            FramePose pose = looking_down(lane == 0 ? 2.0 * step - 0.5 : 15.5 - 2.0 * step, 2.0 + 3.5 * lane, 18.0);
            pose.yaw = degrees(lane == 0 ? 0.0 : 180.0);
            SeenFrame frame;
            frame.grids = grids_of(layout, PosedCamera(small_lens(), pose), missing);
            frame.prior.time = UtcTime(std::chrono::seconds(2 * static_cast<long>(flight.frames.size())));
            FramePose logged = pose;
            logged.position_in_site += bias + noise_m * Vector3d(normal(random), normal(random), normal(random));
            logged.yaw += degrees(yaw_off_deg);
            frame.prior.pose = logged;
            flight.poses.push_back(pose);
            flight.frames.push_back(std::move(frame));
        }
    }
    return flight;
}

// Distance of each module from the nearest true one, once their means lie on one another.
double worst_place(const JoinedGrids& joined, const Layout& layout, const std::set<int>& missing) {
    std::vector<Vector3d> found;
    for (const JoinedTable& table : joined.tables) {
        for (const JoinedModule& module : table.modules) {
            found.push_back(module.centre_in_site);
        }
    }
    Vector3d shift = Vector3d::Zero();
    double worst = HUGE_VAL;
    for (int round = 0; round < 5; ++round) {
        Vector3d sum = Vector3d::Zero();
        worst = 0.0;
        for (const Vector3d& place : found) {
            Vector3d nearest(HUGE_VAL, 0.0, 0.0);
            for (int i = 0; i < static_cast<int>(layout.modules.size()); ++i) {
                const Vector3d off = layout.modules[static_cast<std::size_t>(i)].centre_in_site() - (place + shift);
                nearest = !missing.contains(i) && off.norm() < nearest.norm() ? off : nearest;
            }
            sum += nearest;
            worst = std::max(worst, nearest.norm());
        }
        shift += sum / static_cast<double>(found.size());
    }
    return worst;
}

}  // namespace

TEST_CASE("joined grids: a field comes out whole, holes kept, though the log is off", "[georeference]") {
    const Layout layout = make_field(two_rows());
    REQUIRE(layout.modules.size() == 48);
    const std::set<int> missing{layout.tables[1].modules[3]};
    // The bias stays in the result: nothing tells it. A turn of all yaws does not.
    const Flight flight = fly(layout, Vector3d(0.4, -0.3, 0.5), 0.04, 3.0, missing);
    const JoinedGrids joined = join_grids(flight.frames, small_lens());
    CHECK(joined.left_out.empty());
    REQUIRE(joined.tables.size() == 4);
    std::size_t modules = 0;
    for (const JoinedTable& table : joined.tables) {
        modules += table.modules.size();
        CHECK(table.normal_in_site.z() == Approx(std::cos(degrees(25.0).value())).margin(0.01));
        CHECK(table.right_in_site.x() > 0.99);
        CHECK_FALSE(table.lies);
        CHECK(table.pitch_m.x() == Approx(1.012).margin(0.02));
        for (const JoinedModule& module : table.modules) {
            CHECK(module.column >= 0);
            CHECK(module.column < 6);
            CHECK(module.tier >= 0);
            CHECK(module.tier < 2);
            CHECK(module.seen >= 1);
        }
    }
    CHECK(modules == 47);
    CHECK(worst_place(joined, layout, missing) < 0.12);
    CHECK(std::abs(joined.yaw_turn_rad - degrees(3.0).value()) < degrees(1.0).value());
}

TEST_CASE("joined grids: jumps of the log by nearly a module are taken out where levels or ends tell",
          "[georeference]") {
    const Layout layout = make_field(two_rows());
    Flight flight = fly(layout, Vector3d::Zero(), 0.04, 0.0, {});
    flight.frames[4].prior.pose->position_in_site += Vector3d(0.6, 0.1, 0.0);
    const JoinedGrids joined = join_grids(flight.frames, small_lens());
    CHECK(joined.left_out.empty());
    CHECK(joined.tables.size() == 4);
    CHECK((joined.poses[4].position_in_site - flight.poses[4].position_in_site).norm() < 0.3);
    CHECK(worst_place(joined, layout, {}) < 0.12);
}

TEST_CASE("joined grids: a frame that fits in two places is left out and said", "[georeference]") {
    FieldOptions field;
    field.rows = 1;
    field.modules_along = 60;
    field.modules_up = 2;
    const Layout layout = make_field(field);
    std::vector<SeenFrame> frames;
    for (int step = 0; step < 4; ++step) {
        const FramePose pose = looking_down(25.0 + 1.5 * step, 2.0, 18.0);
        SeenFrame frame;
        frame.grids = grids_of(layout, PosedCamera(small_lens(), pose), {});
        for (SeenModule& module : frame.grids.front().modules) {
            module.level = 5000.0;  // nothing tells one from the next
        }
        frame.prior.time = UtcTime(std::chrono::seconds(2 * step));
        frame.prior.pose = pose;
        frames.push_back(std::move(frame));
    }
    frames[2].prior.pose->position_in_site.x() += 0.5;  // half a module, in the middle of an even row
    const JoinedGrids joined = join_grids(frames, small_lens());
    REQUIRE(joined.left_out.size() == 1);
    CHECK(joined.left_out.front().first == 2);
    CHECK_THAT(joined.left_out.front().second, Catch::Matchers::Contains("two places"));
    REQUIRE(joined.tables.size() == 1);
    CHECK(joined.tables.front().cut_left);
    CHECK(joined.tables.front().cut_right);
}

TEST_CASE("joined grids: one frame alone gives its tables", "[georeference]") {
    const Layout layout = make_field(two_rows());
    Flight flight = fly(layout, Vector3d::Zero(), 0.0, 0.0, {});
    const std::vector<SeenFrame> one{flight.frames[4]};
    const JoinedGrids joined = join_grids(one, small_lens());
    CHECK(joined.tables.size() == one.front().grids.size());
    CHECK(worst_place(joined, layout, {}) < 0.01);
    CHECK(join_grids({}, small_lens()).tables.empty());
}
