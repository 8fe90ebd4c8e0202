// Camera geometry of the scene: pixel to ray, point to pixel. Conventions: docs/conventions.md.
#pragma once

#include "heatrow/core/frame_prior.hpp"
#include "scene_spec.hpp"

#include <Eigen/Core>

#include <optional>

namespace scene {

// Columns: image right, image down, line of sight in the site frame.
Eigen::Matrix3d site_from_camera(const heatrow::FramePose& pose);

// Direction in the camera frame with z = 1 that the distorted pixel looks along (Brown-Conrady, inverted by Newton
// steps to 1e-12).
Eigen::Vector2d ray_of_pixel(const CameraSpec& camera, const Eigen::Vector2d& pixel);

// Pixel of a point in the camera frame; nothing behind the camera.
std::optional<Eigen::Vector2d> pixel_of_point(const CameraSpec& camera, const Eigen::Vector3d& point_in_camera);

}  // namespace scene
