#include "heatrow/vision/camera_calibration.hpp"

#include "board_coverage.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/fixed_text.hpp"
#include "heatrow/core/median.hpp"

#include <opencv2/calib3d.hpp>

#include <algorithm>
#include <cmath>
#include <optional>

namespace heatrow {
namespace {

constexpr const char* kWhatFailed = "cannot calibrate the camera";
constexpr const char* kMoreTilt =
    "Add frames with the board tilted 20 to 45 degrees to the left, right, up and down, and near the corners of the "
    "picture";

struct Pose {
    Eigen::Matrix3d camera_from_board;
    Eigen::Vector3d board_in_camera;

    // Towards the camera.
    [[nodiscard]] Eigen::Vector3d normal() const {
        const Eigen::Vector3d across = camera_from_board.col(2);
        return across.z() > 0.0 ? Eigen::Vector3d(-across) : across;
    }
};

struct Fit {
    cv::Matx33d intrinsics = cv::Matx33d::eye();
    std::vector<double> distortion;  // k1, k2, p1, p2, k3
    std::vector<double> u;           // fx, fy, cx, cy, k1, k2, p1, p2, k3
    std::vector<Pose> poses;
};

Pose to_pose(const cv::Mat& rotation_vector, const cv::Mat& translation) {
    cv::Matx33d rotation;
    cv::Rodrigues(rotation_vector, rotation);
    Pose pose;
    for (int row = 0; row < 3; ++row) {
        for (int column = 0; column < 3; ++column) {
            pose.camera_from_board(row, column) = rotation(row, column);
        }
        pose.board_in_camera(row) = translation.at<double>(row);
    }
    return pose;
}

// Nothing where the frames leave it without a solution.
std::optional<Fit> fit(std::span<const BoardFrame> frames, const BoardShape& shape, const cv::Size& size, int flags) {
    std::vector<cv::Point3f> board;
    for (const Eigen::Vector2d& point : points_on_board(shape)) {
        board.emplace_back(static_cast<float>(point.x()), static_cast<float>(point.y()), 0.0F);
    }
    const std::vector<std::vector<cv::Point3f>> boards(frames.size(), board);
    std::vector<std::vector<cv::Point2f>> seen;
    for (const BoardFrame& frame : frames) {
        std::vector<cv::Point2f>& points = seen.emplace_back();
        for (const Eigen::Vector2d& point : frame.points_px) {
            points.emplace_back(static_cast<float>(point.x()), static_cast<float>(point.y()));
        }
    }
    Fit result;
    cv::Mat distortion;
    cv::Mat intrinsics_u;
    std::vector<cv::Mat> rotations;
    std::vector<cv::Mat> translations;
    const cv::TermCriteria until(cv::TermCriteria::COUNT | cv::TermCriteria::EPS, 100, 1e-9);
    double rms = kNaN;
    try {
        rms = cv::calibrateCamera(boards,
                                  seen,
                                  size,
                                  result.intrinsics,
                                  distortion,
                                  rotations,
                                  translations,
                                  intrinsics_u,
                                  cv::noArray(),
                                  cv::noArray(),
                                  flags,
                                  until);
    } catch (const cv::Exception&) {
        return std::nullopt;
    }
    const bool finite =
        std::isfinite(rms) &&
        std::all_of(result.intrinsics.val, result.intrinsics.val + 9, [](double v) { return std::isfinite(v); });
    if (!finite || !(result.intrinsics(0, 0) > 0.0)) {
        return std::nullopt;
    }
    result.distortion.assign(distortion.ptr<double>(), distortion.ptr<double>() + 5);
    result.u.assign(intrinsics_u.ptr<double>(), intrinsics_u.ptr<double>() + 9);
    for (std::size_t i = 0; i < frames.size(); ++i) {
        result.poses.push_back(to_pose(rotations[i], translations[i]));
    }
    return result;
}

Lens to_lens(const Fit& fitted, const cv::Size& size) {
    Lens lens;
    lens.width_px = size.width;
    lens.height_px = size.height;
    lens.focal_px = fitted.intrinsics(0, 0);
    lens.principal_point_px = {fitted.intrinsics(0, 2), fitted.intrinsics(1, 2)};
    lens.k1 = fitted.distortion[0];
    lens.k2 = fitted.distortion[1];
    lens.p1 = fitted.distortion[2];
    lens.p2 = fitted.distortion[3];
    lens.k3 = fitted.distortion[4];
    return lens;
}

LensUncertainty to_uncertainty(const Fit& fitted) {
    // With square pixels the common focal length is fitted in the place of the second one.
    return {fitted.u[1], {fitted.u[2], fitted.u[3]}, fitted.u[4], fitted.u[5], fitted.u[6], fitted.u[7], fitted.u[8]};
}

Radians tilt_spread(const std::vector<Pose>& poses) {
    double spread = 0.0;
    for (std::size_t i = 0; i < poses.size(); ++i) {
        for (std::size_t j = i + 1; j < poses.size(); ++j) {
            spread = std::max(spread, std::acos(std::clamp(poses[i].normal().dot(poses[j].normal()), -1.0, 1.0)));
        }
    }
    return Radians(spread);
}

// The residuals of one frame, by the program's own lens and not the one that was fitted with.
CalibratedBoard assess(const BoardFrame& frame, const Pose& pose, const Lens& lens, const BoardShape& shape) {
    CalibratedBoard board;
    board.name = frame.name;
    board.tilt = Radians(std::acos(std::clamp(-pose.normal().z(), -1.0, 1.0)));
    board.distance = Metres(pose.board_in_camera.z());
    const auto points = points_on_board(shape);
    double squares = 0.0;
    for (std::size_t i = 0; i < points.size(); ++i) {
        const Eigen::Vector3d in_board(points[i].x(), points[i].y(), 0.0);
        const auto pixel = project(lens, pose.camera_from_board * in_board + pose.board_in_camera);
        const double residual_px = pixel ? (*pixel - frame.points_px[i]).norm() : HUGE_VAL;
        squares += residual_px * residual_px;
        board.worst_px = std::max(board.worst_px, residual_px);
    }
    board.rms_px = std::sqrt(squares / static_cast<double>(points.size()));
    return board;
}

void require_enough(std::span<const BoardFrame> frames,
                    const BoardShape& shape,
                    const CameraCalibrationLimits& limits) {
    if (static_cast<int>(frames.size()) < limits.least_boards) {
        throw Error(ErrorKind::input,
                    kWhatFailed,
                    {},
                    "the board was found in " + std::to_string(frames.size()) + " frames, " +
                        std::to_string(limits.least_boards) + " are needed",
                    "Add frames that show the whole board sharply, and check --board (it counts inner corners) and "
                    "--pattern");
    }
    for (const BoardFrame& frame : frames) {
        if (static_cast<int>(frame.points_px.size()) != shape.points()) {
            throw Error(
                ErrorKind::internal,
                kWhatFailed,
                frame.name,
                std::to_string(frame.points_px.size()) + " points for a board of " + std::to_string(shape.points()),
                "Please report it");
        }
    }
}

void require_determined(const std::optional<Fit>& square, const CameraCalibrationLimits& limits) {
    if (!square) {
        throw Error(
            ErrorKind::input,
            kWhatFailed,
            {},
            "the boards leave the focal length undetermined: no solution exists, as when all boards are parallel",
            kMoreTilt);
    }
    const Radians spread = tilt_spread(square->poses);
    if (spread < limits.least_tilt_spread) {
        throw Error(ErrorKind::input,
                    kWhatFailed,
                    {},
                    "all boards stand at nearly the same tilt: their normals differ by at most " +
                        fixed_text(in_degrees(spread), 1) + " deg, " +
                        fixed_text(in_degrees(limits.least_tilt_spread), 1) +
                        " deg are needed, so the focal length is not determined",
                    kMoreTilt);
    }
    const double u_share = square->u[1] / square->intrinsics(1, 1);
    if (!(u_share <= limits.most_focal_u_share)) {
        throw Error(ErrorKind::input,
                    kWhatFailed,
                    {},
                    "the focal length is uncertain by " + fixed_text(100.0 * u_share, 1) + " %, more than " +
                        fixed_text(100.0 * limits.most_focal_u_share, 1) + " %",
                    kMoreTilt);
    }
}

void mark_outliers(CameraCalibration& result, double ratio) {
    std::vector<double> rms;
    for (const CalibratedBoard& board : result.boards) {
        rms.push_back(board.rms_px);
    }
    const double usual = take_median(rms);
    for (CalibratedBoard& board : result.boards) {
        if (board.rms_px > ratio * usual) {
            board.outlier = true;
            result.warnings.push_back(board.name + " fits " + fixed_text(board.rms_px / usual, 1) + " times worse (" +
                                      fixed_text(board.rms_px, 2) +
                                      " px) than the usual frame: look at it, and calibrate "
                                      "again without it");
        }
    }
}

void add_warnings(CameraCalibration& result, const CameraCalibrationLimits& limits) {
    mark_outliers(result, limits.board_outlier_ratio);
    if (result.coverage < limits.least_coverage) {
        result.warnings.push_back("the boards cover " + fixed_text(100.0 * result.coverage, 0) +
                                  " % of the picture, less than " + fixed_text(100.0 * limits.least_coverage, 0) +
                                  " %: the distortion outside them is extrapolated. Add frames with the board near the "
                                  "borders");
    }
    const double aspect = result.focal_xy_px.x() / result.focal_xy_px.y();
    if (std::abs(aspect - 1.0) > limits.most_aspect_error) {
        result.warnings.push_back("the pixels seem not to be square: focal lengths differ by " +
                                  fixed_text(100.0 * std::abs(aspect - 1.0), 1) +
                                  " %. Check that the frames were not resized in one direction");
    }
}

}  // namespace

CameraCalibration calibrate_camera(std::span<const BoardFrame> frames,
                                   const BoardShape& shape,
                                   int width_px,
                                   int height_px,
                                   bool with_k3,
                                   const CameraCalibrationLimits& limits) {
    require_enough(frames, shape, limits);
    cv::setNumThreads(1);
    const cv::Size size(width_px, height_px);
    const int flags = with_k3 ? 0 : cv::CALIB_FIX_K3;
    const auto square = fit(frames, shape, size, flags | cv::CALIB_FIX_ASPECT_RATIO);
    require_determined(square, limits);

    CameraCalibration result;
    result.lens = to_lens(*square, size);
    result.u = to_uncertainty(*square);
    result.tilt_spread = tilt_spread(square->poses);
    double squares = 0.0;
    for (std::size_t i = 0; i < frames.size(); ++i) {
        result.boards.push_back(assess(frames[i], square->poses[i], result.lens, shape));
        squares += result.boards.back().rms_px * result.boards.back().rms_px;
    }
    result.rms_px = std::sqrt(squares / static_cast<double>(frames.size()));
    if (const auto free = fit(frames, shape, size, flags)) {
        result.focal_xy_px = {free->intrinsics(0, 0), free->intrinsics(1, 1)};
        result.focal_xy_u_px = {free->u[0], free->u[1]};
    } else {
        result.focal_xy_px = result.focal_xy_u_px = {kNaN, kNaN};
    }
    result.coverage = detail::board_coverage(frames, width_px, height_px);
    result.reach = detail::board_reach(frames, width_px, height_px);
    add_warnings(result, limits);
    return result;
}

}  // namespace heatrow
