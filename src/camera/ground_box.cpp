#include "heatrow/camera/ground_box.hpp"

#include <array>
#include <limits>
#include <optional>

namespace heatrow {

GroundBox ground_box(const PosedCamera& camera, Metres lowest, Metres highest, Metres margin) {
    constexpr double kInfinity = std::numeric_limits<double>::infinity();
    GroundBox box{Eigen::Vector2d::Constant(kInfinity), Eigen::Vector2d::Constant(-kInfinity)};
    for (const Metres height : {lowest, highest}) {
        const std::optional<std::array<Eigen::Vector3d, 4>> corners = camera.footprint(height);
        if (!corners) {
            return {Eigen::Vector2d::Constant(-kInfinity), Eigen::Vector2d::Constant(kInfinity)};
        }
        for (const Eigen::Vector3d& corner : *corners) {
            box.low = box.low.cwiseMin(corner.head<2>());
            box.high = box.high.cwiseMax(corner.head<2>());
        }
    }
    // The sides of a picture with distortion bend outwards by a few pixels; a fiftieth of the box covers it.
    const Eigen::Vector2d slack = Eigen::Vector2d::Constant(margin.value()) + 0.02 * (box.high - box.low);
    return {box.low - slack, box.high + slack};
}

}  // namespace heatrow
