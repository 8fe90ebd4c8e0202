#include "heatrow/georeference/control.hpp"

#include "heatrow/core/fixed_text.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>

namespace heatrow {

namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

using Outline = std::array<Vector2d, 4>;

std::optional<Outline> outline_of(const PosedCamera& camera, const Module& module) {
    Outline outline;
    for (std::size_t i = 0; i < outline.size(); ++i) {
        const std::optional<Vector2d> corner = camera.project(module.corners_in_site[i]);
        if (!corner) {
            return std::nullopt;
        }
        outline[i] = *corner;
    }
    return outline;
}

// Of an outline: the place of its rim that is nearest to a pixel, and whether the pixel lies inside.
struct NearestRim {
    Vector2d place{0.0, 0.0};
    double distance_px = std::numeric_limits<double>::infinity();
    bool inside = true;
};
NearestRim nearest_rim(const Outline& outline, const Vector2d& pixel) {
    NearestRim nearest;
    for (std::size_t i = 0; i < outline.size(); ++i) {
        const Vector2d& from = outline[i];
        const Vector2d along = outline[(i + 1) % outline.size()] - from;
        const double share = std::clamp((pixel - from).dot(along) / along.squaredNorm(), 0.0, 1.0);
        const Vector2d place = from + share * along;
        if (const double distance = (pixel - place).norm(); distance < nearest.distance_px) {
            nearest.distance_px = distance;
            nearest.place = place;
        }
        // Corners run clockwise in the picture (y down) as seen from the front.
        nearest.inside = nearest.inside && along.x() * (pixel - from).y() - along.y() * (pixel - from).x() >= 0.0;
    }
    return nearest;
}

// Whole steps nearest to a horizontal vector, and what is left of it, m along and across.
struct Steps {
    LatticeOffset offset;
    Vector2d rest_m{0.0, 0.0};
};
Steps nearest_steps(const LayoutIndex& site, const Vector2d& vector) {
    Steps steps;
    const Vector2d along = site.pitch_along().head<2>();
    const Vector2d across = site.pitch_across().head<2>();
    Vector2d rest = vector;
    if (along.norm() > 0.0) {
        steps.offset.along = static_cast<int>(std::lround(vector.dot(along) / along.squaredNorm()));
        rest -= steps.offset.along * along;
    }
    if (across.norm() > 0.0) {
        steps.offset.across = static_cast<int>(std::lround(vector.dot(across) / across.squaredNorm()));
        rest -= steps.offset.across * across;
    }
    const Vector2d direction = along.norm() > 0.0 ? Vector2d(along.normalized()) : Vector2d::UnitX();
    steps.rest_m = {rest.dot(direction), rest.dot(Vector2d(-direction.y(), direction.x()))};
    return steps;
}

tl::expected<LatticeOffset, std::string> offset_by_module(const LayoutIndex& site,
                                                          const PosedCamera& locked,
                                                          const ControlMark& mark,
                                                          const MarkOptions& options) {
    const Module& module = site.module(mark.module);
    const Vector3d& normal = site.normal_in_site(mark.module);
    const Vector3d from_camera = site.centre_in_site(mark.module) - locked.position_in_site();
    const Vector3d ray = locked.ray_in_site(mark.pixel);
    const double depth_m = from_camera.dot(normal) / ray.dot(normal);
    if (!(depth_m > 0.0) || !std::isfinite(depth_m)) {
        return tl::unexpected(std::string("the pixel does not look at the front of the module; check it"));
    }
    // On the module's plane, from its middle to where the pixel looks.
    const Vector3d seen = depth_m * ray - from_camera;
    const auto& corner = module.corners_in_site;
    const ModuleType& type = site.layout().type_of(module);
    const Vector2d half(0.5 * type.width.value(), 0.5 * type.height.value());
    const std::array<Vector3d, 2> sides{(corner[1] - corner[0]).normalized(), (corner[0] - corner[3]).normalized()};
    const std::array<Vector3d, 2> pitches{site.pitch_along(), site.pitch_across()};
    std::array<int, 2> steps{0, 0};
    const double click_m = options.click_px * locked.ground_sample_distance(site.centre_in_site(mark.module)).value();
    for (std::size_t axis = 0; axis < sides.size(); ++axis) {
        const double place_m = seen.dot(sides[axis]);
        // The frame must be moved against what it is off by.
        const double pitch_m = pitches[axis].dot(sides[axis]);
        steps[axis] = pitch_m != 0.0 ? -static_cast<int>(std::lround(place_m / pitch_m)) : 0;
        const double rest_m = std::abs(place_m + steps[axis] * pitch_m);
        const double inside_m = half[static_cast<Eigen::Index>(axis)] - rest_m;
        if (pitch_m == 0.0 && inside_m < -click_m) {
            return tl::unexpected("where the frame was locked the pixel lies " + fixed_text(std::abs(place_m), 1) +
                                  " m from the module " + (axis == 0 ? "along" : "across") +
                                  " its row, and no step of the lattice leads there; check module and pixel");
        }
        if (inside_m < click_m) {
            return tl::unexpected("the pixel lies within " + fixed_text(options.click_px, 0) +
                                  " px of a module's rim; mark one near the middle of the module");
        }
    }
    return LatticeOffset{steps[0], steps[1]};
}

tl::expected<LatticeOffset, std::string> offset_by_point(const LayoutIndex& site,
                                                         const PosedCamera& locked,
                                                         const ControlMark& mark,
                                                         const MarkOptions& options) {
    const std::optional<Vector2d> displacement = displacement_to(locked, mark);
    if (!displacement) {
        return tl::unexpected(std::string("the pixel does not look down; check it"));
    }
    double pitch_m = std::numeric_limits<double>::infinity();
    for (const Vector3d& pitch : {site.pitch_along(), site.pitch_across()}) {
        if (pitch.norm() > 0.0) {
            pitch_m = std::min(pitch_m, pitch.head<2>().norm());
        }
    }
    const double click_m = options.click_px * locked.ground_sample_distance(mark.point_in_site).value();
    const double sd_m = std::hypot(mark.sd_m, click_m);
    if (2.0 * 3.0 * sd_m > pitch_m) {
        return tl::unexpected("it is uncertain to " + fixed_text(sd_m, 2) + " m (standard deviation), which does not " +
                              "tell places " + fixed_text(pitch_m, 2) + " m apart; survey it better");
    }
    const Steps steps = nearest_steps(site, *displacement);
    if (!(steps.rest_m.cwiseAbs().maxCoeff() < options.same_place * pitch_m)) {
        return tl::unexpected("beyond whole modules it is " + fixed_text(steps.rest_m.x(), 2) + " m along and " +
                              fixed_text(steps.rest_m.y(), 2) +
                              " m across the rows from where the layout has the frame; check the point, its pixel and "
                              "height, and whether layout and survey share a datum");
    }
    return steps.offset;
}

}  // namespace

std::optional<Vector2d> displacement_to(const PosedCamera& camera, const ControlMark& mark) {
    const Vector3d ray = camera.ray_in_site(mark.pixel);
    const double below_m = camera.position_in_site().z() - mark.point_in_site.z();
    constexpr double kFlattest = 0.1;  // sine of the angle below the horizon; flatter rays meet no ground that is known
    if (!(ray.z() < -kFlattest) || !(below_m > 0.0)) {
        return std::nullopt;
    }
    const Vector3d seen = camera.position_in_site() - (below_m / ray.z()) * ray;
    return Vector2d((mark.point_in_site - seen).head<2>());
}

std::optional<MarkResidual> residual_of(const LayoutIndex& site, const PosedCamera& camera, const ControlMark& mark) {
    MarkResidual residual;
    ControlMark target = mark;
    if (mark.module >= 0) {
        const std::optional<Outline> outline = outline_of(camera, site.module(mark.module));
        if (!outline) {
            return std::nullopt;
        }
        const NearestRim rim = nearest_rim(*outline, mark.pixel);
        if (rim.inside) {
            return residual;
        }
        residual.pixel = mark.pixel - rim.place;
        // Where the nearest place of the outline looks, at the height of the module's centre.
        target.pixel = rim.place;
    } else {
        const std::optional<Vector2d> pixel = camera.project(mark.point_in_site);
        if (!pixel) {
            return std::nullopt;
        }
        residual.pixel = mark.pixel - *pixel;
    }
    const std::optional<Vector2d> marked = displacement_to(camera, mark);
    const std::optional<Vector2d> wanted =
        mark.module >= 0 ? displacement_to(camera, target) : std::optional<Vector2d>(Vector2d::Zero());
    if (!marked || !wanted) {
        return std::nullopt;
    }
    residual.metres = *wanted - *marked;
    return residual;
}

tl::expected<LatticeOffset, std::string> offset_by(const LayoutIndex& site,
                                                   const PosedCamera& locked,
                                                   const ControlMark& mark,
                                                   const MarkOptions& options) {
    return mark.module >= 0 ? offset_by_module(site, locked, mark, options)
                            : offset_by_point(site, locked, mark, options);
}

}  // namespace heatrow
