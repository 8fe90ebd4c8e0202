// Who holds the camera: a figure of a few round parts behind it, seen only in mirrors.
#pragma once

#include "surroundings_spec.hpp"

#include <Eigen/Core>

#include <array>
#include <cstdint>

namespace scene {

class Person {
  public:
    enum class Part : std::uint8_t { none, clothes, skin };

    // camera: where it is held; sight: where it points.
    Person(const OperatorSpec& spec, const Eigen::Vector3d& camera, const Eigen::Vector3d& sight);

    // Could a ray from here in about this direction (length 1) meet the figure? spread: of directions around it, rad.
    [[nodiscard]] bool near(const Eigen::Vector3d& from, const Eigen::Vector3d& direction, double spread) const;
    // What a ray meets first.
    [[nodiscard]] Part meet(const Eigen::Vector3d& from, const Eigen::Vector3d& direction) const;

  private:
    struct Ball {
        Eigen::Vector3d centre;
        double radius;
    };
    [[nodiscard]] double distance_to_body(const Eigen::Vector3d& from, const Eigen::Vector3d& direction) const;

    std::array<Ball, 2> skin_;  // head, hands
    Eigen::Vector3d body_;      // middle of the trunk and legs
    Eigen::Vector2d across_;    // unit, to the side
    double half_width_ = 0.0;
    double half_depth_ = 0.0;
    double half_height_ = 0.0;
};

}  // namespace scene
