#include "person.hpp"

#include <Eigen/Geometry>

#include <cmath>

namespace scene {
namespace {

constexpr double kMissed = 1e30;

double distance_to_ball(const Eigen::Vector3d& centre,
                        double radius,
                        const Eigen::Vector3d& from,
                        const Eigen::Vector3d& direction) {
    const Eigen::Vector3d offset = from - centre;
    const double b = offset.dot(direction);
    const double root = b * b - direction.squaredNorm() * (offset.squaredNorm() - radius * radius);
    if (root < 0.0 || b > 0.0) {
        return kMissed;
    }
    return (-b - std::sqrt(root)) / direction.squaredNorm();
}

}  // namespace

// Proportions of a grown-up: eyes at 0.93 of the height, shoulders at 0.82, a camera held 30 cm before the face.
Person::Person(const OperatorSpec& spec, const Eigen::Vector3d& camera, const Eigen::Vector3d& sight)
    : half_width_(0.5 * spec.width_m), half_depth_(0.26 * spec.width_m), half_height_(0.41 * spec.height_m) {
    const Eigen::Vector2d level = sight.head<2>();
    const Eigen::Vector2d forward = level.norm() > 1e-6 ? Eigen::Vector2d(level.normalized()) : Eigen::Vector2d(0, 1);
    const Eigen::Vector3d back(-forward.x(), -forward.y(), 0.0);
    const double feet = camera.z() - 0.93 * spec.height_m;
    across_ = {-forward.y(), forward.x()};
    skin_ = {{{camera + 0.3 * back, 0.11}, {camera + Eigen::Vector3d(0.0, 0.0, -0.08) + 0.08 * back, 0.07}}};
    body_ = camera + 0.35 * back;
    body_.z() = feet + half_height_;
}

bool Person::near(const Eigen::Vector3d& from, const Eigen::Vector3d& direction, double spread) const {
    const Eigen::Vector3d to = body_ - from;
    const double along = to.dot(direction);
    const double reach = half_height_ + 0.6 + 2.5 * spread * std::abs(along);
    return along > 0.0 && to.squaredNorm() - along * along < reach * reach;
}

double Person::distance_to_body(const Eigen::Vector3d& from, const Eigen::Vector3d& direction) const {
    // An upright cylinder on an ellipse: a circle once both axes are measured in half widths.
    const Eigen::Vector2d ahead(-across_.y(), across_.x());
    const Eigen::Vector2d offset = (from - body_).head<2>();
    const Eigen::Vector2d o(offset.dot(across_) / half_width_, offset.dot(ahead) / half_depth_);
    const Eigen::Vector2d d(direction.head<2>().dot(across_) / half_width_,
                            direction.head<2>().dot(ahead) / half_depth_);
    const double a = d.squaredNorm();
    const double b = o.dot(d);
    const double root = b * b - a * (o.squaredNorm() - 1.0);
    if (root < 0.0 || b > 0.0 || a <= 0.0) {
        return kMissed;
    }
    const double distance = (-b - std::sqrt(root)) / a;
    const double height = from.z() + distance * direction.z() - body_.z();
    return std::abs(height) <= half_height_ ? distance : kMissed;
}

Person::Part Person::meet(const Eigen::Vector3d& from, const Eigen::Vector3d& direction) const {
    double skin = kMissed;
    for (const Ball& ball : skin_) {
        skin = std::min(skin, distance_to_ball(ball.centre, ball.radius, from, direction));
    }
    const double body = distance_to_body(from, direction);
    if (skin >= kMissed && body >= kMissed) {
        return Part::none;
    }
    return skin < body ? Part::skin : Part::clothes;
}

}  // namespace scene
