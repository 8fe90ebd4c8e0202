#include "heatrow/site/layout.hpp"

#include <Eigen/Geometry>

#include <algorithm>

namespace heatrow {

Eigen::Vector3d Module::centre_in_site() const {
    return 0.25 * (corners_in_site[0] + corners_in_site[1] + corners_in_site[2] + corners_in_site[3]);
}

Eigen::Vector3d Module::normal_in_site() const {
    // Diagonals, so that one inexact corner counts less. Seen from the front, x to the right and y downwards leave the
    // front toward the viewer in the order y, x.
    const Eigen::Vector3d right = corners_in_site[1] + corners_in_site[2] - corners_in_site[0] - corners_in_site[3];
    const Eigen::Vector3d down = corners_in_site[3] + corners_in_site[2] - corners_in_site[0] - corners_in_site[1];
    return down.cross(right).normalized();
}

Eigen::Vector3d Module::point_in_site(const ModuleType& type_of_module, const Eigen::Vector2d& in_plane) const {
    const double u = in_plane.x() / type_of_module.width.value();
    const double v = in_plane.y() / type_of_module.height.value();
    return (1.0 - v) * ((1.0 - u) * corners_in_site[0] + u * corners_in_site[1]) +
           v * ((1.0 - u) * corners_in_site[3] + u * corners_in_site[2]);
}

std::optional<int> Layout::find_module(std::string_view id) const {
    const auto found =
        std::lower_bound(modules.begin(), modules.end(), id, [](const Module& module, std::string_view wanted) {
            return natural_less(module.id, wanted);
        });
    if (found == modules.end() || found->id != id) {
        return std::nullopt;
    }
    return static_cast<int>(found - modules.begin());
}

}  // namespace heatrow
