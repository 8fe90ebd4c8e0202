#include "heatrow/vision/camera_calibration.hpp"

#include "heatrow/core/error.hpp"
#include "rendered_board.hpp"

#include <catch2/catch.hpp>

#include <random>

using namespace heatrow;
using namespace heatrow::testing;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

const CameraCalibrationLimits kLimits{5, degrees(10.0), 0.02, 0.01, 2.0, 0.6};

BoardScene corner_scene() {
    BoardScene scene;
    scene.lens = wide_lens();
    return scene;
}

// The true points with normal errors of `sigma_px` along each axis: what a finder gives, without the finder.
std::vector<BoardFrame> noisy_frames(const BoardScene& scene,
                                     const std::vector<BoardPose>& poses,
                                     double sigma_px,
                                     std::uint64_t seed) {
    std::mt19937_64 random(seed);
    std::normal_distribution<double> error(0.0, sigma_px);
    std::vector<BoardFrame> frames;
    for (const BoardPose& pose : poses) {
        BoardFrame frame{"frame_" + std::to_string(frames.size() + 1), true_points(scene, pose)};
        for (Eigen::Vector2d& point : frame.points_px) {
            point += Eigen::Vector2d(error(random), error(random));
        }
        frames.push_back(frame);
    }
    return frames;
}

CameraCalibration calibrate(const std::vector<BoardFrame>& frames, const BoardScene& scene, bool with_k3 = false) {
    return calibrate_camera(frames, scene.shape, scene.lens.width_px, scene.lens.height_px, with_k3, kLimits);
}

std::string refusal(const std::vector<BoardFrame>& frames, const BoardScene& scene) {
    try {
        calibrate(frames, scene);
    } catch (const Error& problem) {
        CHECK(problem.kind() == ErrorKind::input);
        return problem.what();
    }
    return {};
}

}  // namespace

TEST_CASE("camera calibration: exact points give the lens back", "[vision]") {
    const BoardScene scene = corner_scene();
    const CameraCalibration result = calibrate(noisy_frames(scene, varied_poses(scene), 0.0, 1), scene);
    CHECK_THAT(result.lens.focal_px, WithinAbs(330.0, 0.01));
    CHECK_THAT(result.lens.principal_point_px.x(), WithinAbs(163.0, 0.01));
    CHECK_THAT(result.lens.principal_point_px.y(), WithinAbs(124.5, 0.01));
    CHECK_THAT(result.lens.k1, WithinAbs(-0.22, 1e-3));
    CHECK_THAT(result.lens.k2, WithinAbs(0.06, 3e-3));
    CHECK_THAT(result.lens.p1, WithinAbs(0.0008, 1e-4));
    CHECK_THAT(result.lens.p2, WithinAbs(-0.0005, 1e-4));
    CHECK(result.lens.k3 == 0.0);
    CHECK(result.rms_px < 0.005);
}

TEST_CASE("camera calibration: k3 is fitted on request", "[vision]") {
    BoardScene scene = corner_scene();
    scene.lens.k3 = 0.05;
    const CameraCalibration result = calibrate(noisy_frames(scene, varied_poses(scene), 0.0, 1), scene, true);
    CHECK_THAT(result.lens.k3, WithinAbs(0.05, 0.02));
    CHECK(result.u.k3 > 0.0);
}

TEST_CASE("camera calibration: rendered heated boards give the focal length to 1 %", "[vision]") {
    const BoardScene scene = corner_scene();
    std::vector<BoardFrame> frames;
    std::uint64_t seed = 10;
    for (const BoardPose& pose : varied_poses(scene)) {
        const Image<float> picture = render(scene, pose, ++seed);
        if (const auto view = find_board(picture.view(), scene.shape)) {
            frames.push_back({"frame_" + std::to_string(seed), view->points_px});
        }
    }
    CHECK(frames.size() >= 12);
    const CameraCalibration result = calibrate(frames, scene);
    CAPTURE(result.lens.focal_px, result.rms_px, result.lens.k1, result.lens.k2, result.coverage);
    CHECK_THAT(result.lens.focal_px, WithinAbs(330.0, 0.01 * 330.0));
    CHECK_THAT(result.lens.principal_point_px.x(), WithinAbs(163.0, 2.0));
    CHECK_THAT(result.lens.principal_point_px.y(), WithinAbs(124.5, 2.0));
    CHECK(result.rms_px < 0.1);
    CHECK(result.warnings.empty());
    // The same distance from the principal point at three quarters of the half diagonal, whichever way focal length, k1
    // and k2 share it.
    const Eigen::Vector3d point(0.35, 0.28, 1.0);
    const Eigen::Vector2d found = *project(result.lens, point) - result.lens.principal_point_px;
    const Eigen::Vector2d truth = *project(scene.lens, point) - scene.lens.principal_point_px;
    CHECK((found - truth).norm() < 0.01 * truth.norm());
}

TEST_CASE("camera calibration: stated uncertainties are the scatter of repeated calibrations", "[vision]") {
    const BoardScene scene = corner_scene();
    const auto poses = varied_poses(scene);
    double squares = 0.0;
    double stated = 0.0;
    constexpr int kRuns = 20;
    for (int run = 0; run < kRuns; ++run) {
        const CameraCalibration result =
            calibrate(noisy_frames(scene, poses, 0.2, 100 + static_cast<std::uint64_t>(run)), scene);
        squares += std::pow(result.lens.focal_px - 330.0, 2.0);
        stated += result.u.focal_px / kRuns;
        // Of 840 residuals 91 are taken up by the lens and the poses.
        CHECK_THAT(result.rms_px, WithinAbs(0.2 * std::sqrt(2.0) * std::sqrt(749.0 / 840.0), 0.035));
    }
    // 20 runs tell a standard deviation to 16 %: three times that.
    CHECK_THAT(std::sqrt(squares / kRuns) / stated, WithinAbs(1.0, 0.48));
}

TEST_CASE("camera calibration: too few boards are refused", "[vision]") {
    const BoardScene scene = corner_scene();
    auto poses = varied_poses(scene);
    poses.resize(4);
    CHECK_THAT(refusal(noisy_frames(scene, poses, 0.1, 1), scene),
               Contains("found in 4 frames, 5 are needed") && Contains("--board"));
}

TEST_CASE("camera calibration: boards at one tilt are refused with the figure", "[vision]") {
    const BoardScene scene = corner_scene();
    std::vector<BoardPose> parallel;
    for (int i = 0; i < 10; ++i) {
        parallel.push_back(pose_of(scene, 25.0 + 0.3 * i, 0.0, 1.3 + 0.05 * i, 0.05 * (i - 5), 0.0));
    }
    CHECK_THAT(refusal(noisy_frames(scene, parallel, 0.1, 2), scene),
               Contains("nearly the same tilt") && Contains("10.0 deg are needed") && Contains("tilted 20 to 45"));
}

TEST_CASE("camera calibration: boards that all face the camera are refused", "[vision]") {
    const BoardScene scene = corner_scene();
    std::vector<BoardPose> facing;
    for (int i = 0; i < 10; ++i) {
        facing.push_back(pose_of(scene, 0.0, 0.0, 1.2 + 0.05 * i, 0.06 * (i - 5), 0.04 * (5 - i)));
    }
    for (const double sigma_px : {0.0, 0.1, 0.5}) {
        CAPTURE(sigma_px);
        CHECK_THAT(refusal(noisy_frames(scene, facing, sigma_px, 3), scene), Contains("focal length"));
    }
}

TEST_CASE("camera calibration: a focal length that stays too uncertain is refused", "[vision]") {
    const BoardScene scene = corner_scene();
    const std::vector<BoardPose> few{pose_of(scene, 0, 0, 1.4, 0, 0),
                                     pose_of(scene, 8, 0, 1.4, 0.1, 0),
                                     pose_of(scene, -8, 0, 1.4, 0, 0.1),
                                     pose_of(scene, 0, 8, 1.4, -0.1, 0),
                                     pose_of(scene, 0, -8, 1.4, 0, -0.1)};
    CHECK_THAT(refusal(noisy_frames(scene, few, 0.6, 4), scene), Contains("uncertain by"));
}

TEST_CASE("camera calibration: a frame with wrong points is named", "[vision]") {
    const BoardScene scene = corner_scene();
    auto frames = noisy_frames(scene, varied_poses(scene), 0.1, 5);
    for (std::size_t i = 0; i < frames[3].points_px.size(); i += 2) {
        frames[3].points_px[i].x() += 1.5;
    }
    const CameraCalibration result = calibrate(frames, scene);
    CHECK(result.boards[3].outlier);
    CHECK(std::count_if(result.boards.begin(), result.boards.end(), [](const auto& board) { return board.outlier; }) ==
          1);
    REQUIRE(result.warnings.size() == 1);
    CHECK_THAT(result.warnings.front(), Contains("frame_4"));
}

TEST_CASE("camera calibration: boards in the middle only give a warning with the share", "[vision]") {
    const BoardScene scene = corner_scene();
    std::vector<BoardPose> poses;
    for (const auto& [x, y] : {std::pair{0, 0}, {30, 0}, {-30, 0}, {0, 30}, {0, -30}, {20, 20}}) {
        poses.push_back(pose_of(scene, x, y, 2.0, 0.0, 0.0));
    }
    const CameraCalibration result = calibrate(noisy_frames(scene, poses, 0.02, 6), scene);
    CHECK(result.coverage < 0.3);
    CHECK(result.reach < 0.6);
    REQUIRE(result.warnings.size() == 1);
    CHECK_THAT(result.warnings.front(), Contains("% of the picture, less than 60 %"));
}

TEST_CASE("camera calibration: frames squeezed in one direction are noticed", "[vision]") {
    const BoardScene scene = corner_scene();
    auto frames = noisy_frames(scene, varied_poses(scene), 0.02, 7);
    for (BoardFrame& frame : frames) {
        for (Eigen::Vector2d& point : frame.points_px) {
            point.y() *= 0.95;
        }
    }
    const CameraCalibration result = calibrate(frames, scene);
    CHECK_THAT(result.focal_xy_px.y() / result.focal_xy_px.x(), WithinAbs(0.95, 0.01));
    CHECK(std::any_of(result.warnings.begin(), result.warnings.end(), [](const std::string& warning) {
        return warning.find("not to be square") != std::string::npos;
    }));
}

TEST_CASE("camera calibration: the program's lens and the fit agree on every residual", "[vision]") {
    // Tilts and distances come back, so poses and lens are read the right way round.
    const BoardScene scene = corner_scene();
    const CameraCalibration result = calibrate(noisy_frames(scene, varied_poses(scene), 0.0, 1), scene);
    CHECK_THAT(in_degrees(result.boards[0].tilt), WithinAbs(0.0, 0.05));
    CHECK_THAT(in_degrees(result.boards[1].tilt), WithinAbs(30.0, 0.05));
    CHECK_THAT(result.boards[0].distance.value(), WithinAbs(1.1, 1e-3));
    CHECK_THAT(in_degrees(result.tilt_spread), WithinAbs(60.0, 6.0));
    for (const CalibratedBoard& board : result.boards) {
        CHECK(board.worst_px < 0.01);
    }
}
