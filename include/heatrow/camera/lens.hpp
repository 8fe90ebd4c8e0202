// The inner side of a camera: focal length, principal point, distortion.
#pragma once

#include <Eigen/Core>

#include <optional>

namespace heatrow {

// Brown-Conrady model in the order k1, k2, p1, p2, k3. With x, y the pinhole coordinates (x_in_camera / z) and
// r^2 = x^2 + y^2:
//   x_d = x (1 + k1 r^2 + k2 r^4 + k3 r^6) + 2 p1 x y + p2 (r^2 + 2 x^2)
//   y_d = y (1 + k1 r^2 + k2 r^4 + k3 r^6) + p1 (r^2 + 2 y^2) + 2 p2 x y
//   pixel = focal_px * (x_d, y_d) + principal_point_px
// D. C. Brown, "Close-range camera calibration", Photogrammetric Engineering 37 (1971), in the form that the
// documentation of OpenCV's calib3d gives.
struct Lens {
    int width_px = 0;
    int height_px = 0;
    double focal_px = 0.0;  // focal length over pixel pitch
    Eigen::Vector2d principal_point_px{0.0, 0.0};
    double k1 = 0.0;
    double k2 = 0.0;
    double p1 = 0.0;
    double p2 = 0.0;
    double k3 = 0.0;
};

// Where a point in the camera frame (x right, y down, z forward, m) falls, px. Nothing for a point that is not in front
// of the camera, or so far off the axis that the radial polynomial has folded over; pixels outside the picture are
// returned as they are.
std::optional<Eigen::Vector2d> project(const Lens& lens, const Eigen::Vector3d& x_in_camera);

// The same with the derivative of the pixel by the point, px/m.
struct ProjectedPoint {
    Eigen::Vector2d pixel;
    Eigen::Matrix<double, 2, 3> pixel_by_point;
};
std::optional<ProjectedPoint> project_with_derivative(const Lens& lens, const Eigen::Vector3d& x_in_camera);

// The line of sight of a pixel, unit length, camera frame: the inverse of `project` to about 1e-9 px inside the picture
// (Newton iterations on the distortion). A pixel beyond the fold of the polynomial gets the line of sight at the fold.
Eigen::Vector3d ray_in_camera(const Lens& lens, const Eigen::Vector2d& pixel);

// Largest pinhole radius r at which the radial polynomial still grows; infinite where it never folds.
double fold_radius(const Lens& lens);

// Whether a pixel lies inside the picture and at least `margin_px` from the outer border of its outermost pixels.
bool inside_picture(const Lens& lens, const Eigen::Vector2d& pixel, double margin_px = 0.0);

}  // namespace heatrow
