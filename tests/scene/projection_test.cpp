// The renderer's geometry against an independent projection (OpenCV's).
#include "csv_table.hpp"
#include "frame_renderer.hpp"
#include "geographic.hpp"
#include "lens.hpp"
#include "scene_fixture.hpp"
#include "truth.hpp"
#include "truth_writer.hpp"

#include <Eigen/Dense>
#include <catch2/catch.hpp>
#include <opencv2/calib3d.hpp>

#include <map>

namespace {

using namespace scene;

// Rotation written from docs/conventions.md as matrix products, not as the renderer writes it.
Eigen::Matrix3d rotation_of(double yaw, double pitch, double roll) {
    Eigen::Matrix3d enu_from_ned;
    enu_from_ned << 0, 1, 0, 1, 0, 0, 0, 0, -1;
    Eigen::Matrix3d body_from_camera;
    body_from_camera << 0, -1, 0, 1, 0, 0, 0, 0, 1;
    return enu_from_ned * Eigen::AngleAxisd(yaw, Eigen::Vector3d::UnitZ()).toRotationMatrix() *
           Eigen::AngleAxisd(pitch, Eigen::Vector3d::UnitY()).toRotationMatrix() *
           Eigen::AngleAxisd(roll, Eigen::Vector3d::UnitX()).toRotationMatrix() * body_from_camera;
}

std::vector<Eigen::Vector2d> opencv_pixels(const CameraSpec& camera,
                                           const Eigen::Matrix3d& site_from_cam,
                                           const Eigen::Vector3d& position,
                                           const std::vector<Eigen::Vector3d>& points) {
    const Eigen::Matrix3d r = site_from_cam.transpose();
    const Eigen::Vector3d t = -r * position;
    cv::Matx33d rotation;
    for (int i = 0; i < 3; ++i) {
        for (int k = 0; k < 3; ++k) {
            rotation(i, k) = r(i, k);
        }
    }
    cv::Vec3d rotation_vector;
    cv::Rodrigues(rotation, rotation_vector);
    const cv::Matx33d intrinsics(
        camera.focal_px, 0, camera.principal_point_px.x(), 0, camera.focal_px, camera.principal_point_px.y(), 0, 0, 1);
    std::vector<cv::Point3d> objects;
    for (const auto& point : points) {
        objects.emplace_back(point.x(), point.y(), point.z());
    }
    std::vector<cv::Point2d> pixels;
    cv::projectPoints(objects,
                      rotation_vector,
                      cv::Vec3d(t.x(), t.y(), t.z()),
                      intrinsics,
                      std::vector<double>(camera.distortion.begin(), camera.distortion.end()),
                      pixels);
    std::vector<Eigen::Vector2d> result;
    for (const auto& pixel : pixels) {
        result.emplace_back(pixel.x, pixel.y);
    }
    return result;
}

constexpr double kDegree = 0.017453292519943295;

}  // namespace

TEST_CASE("projection: outlines.csv agrees with OpenCV within 1e-3 px", "[scene]") {
    const World world(scene_test::quiet_scene(), 3);
    std::vector<std::vector<ViewTruth>> views;
    for (int shot = 0; shot < static_cast<int>(world.shots.size()); ++shot) {
        views.push_back(true_views(world, shot));
    }
    const scene_test::TemporaryFolder folder;
    write_truth(world, views, {}, {}, true_faults(world, views), folder.path() / "truth");

    const auto poses = CsvTable::read(folder.path() / "truth" / "poses.csv", {"frame", "east", "yaw"});
    std::map<std::string, std::size_t> row_of_frame;
    for (std::size_t row = 0; row < poses.size(); ++row) {
        row_of_frame[poses.text(row, "frame")] = row;
    }
    const auto outlines = CsvTable::read(folder.path() / "truth" / "outlines.csv", {"frame", "module", "x1"});
    REQUIRE(outlines.size() > 10);
    double worst = 0.0;
    for (std::size_t row = 0; row < outlines.size(); ++row) {
        const std::size_t pose = row_of_frame.at(outlines.text(row, "frame"));
        const Eigen::Matrix3d rotation = rotation_of(poses.number(pose, "yaw") * kDegree,
                                                     poses.number(pose, "pitch") * kDegree,
                                                     poses.number(pose, "roll") * kDegree);
        const Eigen::Vector3d position(
            poses.number(pose, "east"), poses.number(pose, "north"), poses.number(pose, "up"));
        const int panel = world.plant.find_panel(outlines.text(row, "module"));
        REQUIRE(panel >= 0);
        const auto corners = world.plant.corners_in_site(panel);
        const auto pixels = opencv_pixels(world.spec.camera, rotation, position, {corners.begin(), corners.end()});
        for (std::size_t i = 0; i < 4; ++i) {
            const Eigen::Vector2d written(outlines.number(row, "x" + std::to_string(i + 1)),
                                          outlines.number(row, "y" + std::to_string(i + 1)));
            worst = std::max(worst, (written - pixels[i]).norm());
        }
    }
    CHECK(worst < 1e-3);
}

TEST_CASE("projection: rays meet a module exactly inside its outline as OpenCV projects it", "[scene]") {
    const World world(scene_test::quiet_scene(), 3);
    std::vector<int> faces(static_cast<std::size_t>(world.caster.face_count()));
    for (std::size_t i = 0; i < faces.size(); ++i) {
        faces[i] = static_cast<int>(i);
    }
    const CameraSpec& camera = world.true_camera;
    int edges = 0;
    double worst = 0.0;
    for (int shot_index = 0; shot_index < static_cast<int>(world.shots.size()); ++shot_index) {
        const Shot& shot = world.shots[static_cast<std::size_t>(shot_index)];
        const auto& pose = shot.pose;
        const Eigen::Matrix3d rotation = rotation_of(pose.yaw.value(), pose.pitch.value(), pose.roll.value());
        const auto from = world.caster.viewpoint(pose.position_in_site);
        const auto hits = [&](const Eigen::Vector2d& pixel, int panel) {
            const Eigen::Vector2d ray = ray_of_pixel(camera, pixel);
            return world.caster.cast(from, site_from_camera(pose) * Eigen::Vector3d(ray.x(), ray.y(), 1.0), faces)
                       .panel == panel;
        };
        for (const ViewTruth& view : true_views(world, shot_index)) {
            if (!view.whole()) {
                continue;
            }
            const auto corners = world.plant.corners_in_site(view.panel);
            std::vector<Eigen::Vector3d> points;
            for (std::size_t i = 0; i < 4; ++i) {
                points.emplace_back(0.5 * (corners[i] + corners[(i + 1) % 4]));
            }
            points.emplace_back(0.5 * (corners[0] + corners[2]));
            const auto pixels = opencv_pixels(camera, rotation, pose.position_in_site, points);
            for (std::size_t i = 0; i < 4; ++i) {
                const Eigen::Vector2d inward = (pixels[4] - pixels[i]).normalized();
                double outside = -0.2;  // px from the projected edge
                double inside = 1.0;
                REQUIRE(hits(pixels[i] + inside * inward, view.panel));
                REQUIRE_FALSE(hits(pixels[i] + outside * inward, view.panel));
                while (inside - outside > 1e-6) {
                    const double middle = 0.5 * (inside + outside);
                    (hits(pixels[i] + middle * inward, view.panel) ? inside : outside) = middle;
                }
                worst = std::max(worst, std::abs(inside));
                ++edges;
            }
        }
    }
    CHECK(edges > 40);
    CHECK(worst < 1e-3);
}

TEST_CASE("projection: a face built from tilt and azimuth looks the way it should", "[scene]") {
    const Face south = make_face({0, 0, 0}, 30.0, 180.0, 1.0, 1.0);
    CHECK((south.right - Eigen::Vector3d(1, 0, 0)).norm() < 1e-12);
    CHECK((south.normal - Eigen::Vector3d(0, -0.5, std::sqrt(0.75))).norm() < 1e-12);
    const Face west = make_face({0, 0, 0}, 90.0, 270.0, 1.0, 1.0);
    CHECK((west.normal - Eigen::Vector3d(-1, 0, 0)).norm() < 1e-12);
    CHECK((west.up - Eigen::Vector3d(0, 0, 1)).norm() < 1e-12);
}

TEST_CASE("projection: every direction of `top` puts the type's corners on the module's outline", "[scene]") {
    const std::string text = scene_test::small_scene_text();
    for (const std::string top : {"up", "down", "left", "right"}) {
        std::string changed = text;
        changed.replace(changed.find("modules_up = 2"), 14, "modules_up = 2\ntop = \"" + top + "\"");
        const World world(scene_test::read_scene_text(changed), 1);
        const auto corners = world.plant.corners_in_site(0);
        const Face& face = world.plant.tables.front().face;
        const Eigen::Vector3d down_the_type = corners[3] - corners[0];
        const std::map<std::string, Eigen::Vector3d> up{
            {"up", face.up}, {"down", -face.up}, {"left", -face.right}, {"right", face.right}};
        CHECK((down_the_type.normalized() + up.at(top)).norm() < 1e-12);
        CHECK(down_the_type.norm() == Approx(1.650));
        // Seen from the front the corners go round clockwise.
        CHECK((corners[1] - corners[0]).cross(corners[2] - corners[1]).dot(face.normal) < 0.0);
        for (const auto& corner : corners) {
            const double u = face.right.dot(corner - face.origin);
            const double v = face.up.dot(corner - face.origin);
            CHECK((u > -1e-9 && v > -1e-9));
        }
    }
}
