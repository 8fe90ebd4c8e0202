// A camera at its place in the site frame.
#pragma once

#include "heatrow/camera/lens.hpp"
#include "heatrow/core/frame_prior.hpp"
#include "heatrow/core/units.hpp"

#include <Eigen/Core>

#include <array>
#include <optional>

namespace heatrow {

// Rotation of a pose, as docs/conventions.md writes it: x_in_site = site_from_camera * x_in_camera + position.
Eigen::Matrix3d site_from_camera(const FramePose& pose);

// The angles of a rotation; the inverse of site_from_camera. Where the camera looks at the horizon (pitch +-90 deg)
// yaw and roll turn about one axis: all of the turn is then given to yaw.
FramePose pose_from(const Eigen::Matrix3d& site_from_camera, const Eigen::Vector3d& position_in_site);

// Axes in the site frame about which a small increase of yaw, pitch and roll turns the camera: columns in that order.
// A turn by the small vector w (rad, site frame) changes the angles by the inverse of this matrix times w.
Eigen::Matrix3d turn_axes_in_site(const FramePose& pose);

class PosedCamera {
  public:
    PosedCamera(const Lens& lens, const FramePose& pose);

    [[nodiscard]] const Lens& lens() const { return lens_; }
    [[nodiscard]] const FramePose& pose() const { return pose_; }
    [[nodiscard]] const Eigen::Vector3d& position_in_site() const { return pose_.position_in_site; }
    [[nodiscard]] const Eigen::Matrix3d& camera_from_site_rotation() const { return camera_from_site_rotation_; }
    [[nodiscard]] Eigen::Vector3d to_camera(const Eigen::Vector3d& point_in_site) const {
        return camera_from_site_rotation_ * (point_in_site - pose_.position_in_site);
    }

    // Pixel of a point in the site frame; as the lens's `project`.
    [[nodiscard]] std::optional<Eigen::Vector2d> project(const Eigen::Vector3d& point_in_site) const;
    // Line of sight of a pixel, unit length, site frame.
    [[nodiscard]] Eigen::Vector3d ray_in_site(const Eigen::Vector2d& pixel) const;

    // Between the line of sight to a point and the normal of the plane there; 0 = perpendicular, above 90 deg the
    // camera looks at the back.
    [[nodiscard]] Radians view_angle(const Eigen::Vector3d& point_in_site, const Eigen::Vector3d& normal_in_site) const;

    // Size of one pixel at the point's depth, across the optical axis: depth / focal_px. Not positive behind the
    // camera.
    [[nodiscard]] Metres ground_sample_distance(const Eigen::Vector3d& point_in_site) const;

    // Where the outer corners of the picture (top left, top right, bottom right, bottom left) meet the horizontal plane
    // at `height`; nothing where one of them looks past it.
    [[nodiscard]] std::optional<std::array<Eigen::Vector3d, 4>> footprint(Metres height) const;

  private:
    Lens lens_;
    FramePose pose_;
    Eigen::Matrix3d camera_from_site_rotation_;
};

// Motion of the image during one detector time constant, px: the length of the exponential trail of a first-order
// detector, speed * time constant / ground sample distance.
double smear_px(MetresPerSecond speed, Seconds time_constant, Metres ground_sample_distance);

}  // namespace heatrow
