#include "heatrow/site/layout_fit.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {

namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

const Vector3d& drawn(const Layout& layout, const SurveyedCorner& corner) {
    return layout.modules[static_cast<std::size_t>(corner.module)]
        .corners_in_site[static_cast<std::size_t>(corner.corner)];
}

}  // namespace

Vector3d LayoutShift::apply(const Vector3d& point_in_site) const {
    const Vector3d from = point_in_site - pivot_in_site;
    const double c = std::cos(turn.value());
    const double s = std::sin(turn.value());
    return pivot_in_site + shift_in_site + Vector3d(c * from.x() + s * from.y(), c * from.y() - s * from.x(), from.z());
}

std::optional<LayoutShift> fit_layout_shift(const Layout& layout,
                                            const std::vector<SurveyedCorner>& corners,
                                            double least_base_m) {
    std::vector<const SurveyedCorner*> used;
    Vector3d pivot = Vector3d::Zero();
    Vector2d surveyed_middle = Vector2d::Zero();
    for (const SurveyedCorner& corner : corners) {
        if (!corner.held) {
            used.push_back(&corner);
            pivot += drawn(layout, corner);
            surveyed_middle += corner.point_in_site.head<2>();
        }
    }
    if (used.empty()) {
        return std::nullopt;
    }
    const auto count = static_cast<double>(used.size());
    LayoutShift shift;
    shift.pivot_in_site = pivot / count;
    surveyed_middle /= count;
    shift.shift_in_site.head<2>() = surveyed_middle - shift.pivot_in_site.head<2>();
    double rise_m = 0.0;
    double rises = 0.0;
    double base_m = 0.0;
    double dot = 0.0;
    double cross = 0.0;
    for (const SurveyedCorner* corner : used) {
        const Vector2d from = (drawn(layout, *corner) - shift.pivot_in_site).head<2>();
        const Vector2d to = corner->point_in_site.head<2>() - surveyed_middle;
        dot += from.dot(to);
        cross += from.y() * to.x() - from.x() * to.y();  // clockwise
        base_m = std::max(base_m, 2.0 * from.norm());
        if (corner->has_height) {
            rise_m += corner->point_in_site.z() - drawn(layout, *corner).z();
            rises += 1.0;
        }
    }
    if (base_m >= least_base_m) {
        shift.turn = Radians(std::atan2(cross, dot));
    }
    if (rises > 0.0) {
        shift.shift_in_site.z() = rise_m / rises;
    }
    return shift;
}

Vector3d corner_residual(const Layout& layout, const SurveyedCorner& corner) {
    Vector3d residual = corner.point_in_site - drawn(layout, corner);
    if (!corner.has_height) {
        residual.z() = 0.0;
    }
    return residual;
}

void move_layout(const LayoutShift& shift, Layout& layout) {
    for (Module& module : layout.modules) {
        for (Vector3d& corner : module.corners_in_site) {
            corner = shift.apply(corner);
        }
        module.azimuth += shift.turn;
    }
}

}  // namespace heatrow
