#include "heatrow/site/shade.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <tuple>
#include <utility>

namespace heatrow {
namespace {

constexpr double kLowestSine = 0.0175;  // of the sun's elevation: one degree
// A face that begins this close to the module's own plane is part of its surroundings, not in its way.
constexpr double kClearOfPlane = 0.02;  // m
// Gaps between the modules of a table let no shadow's edge through that a cell would show.
constexpr double kGap = 0.5 * LayoutIndex::kWidestGap;

// A module's plane: origin and axes of its type's coordinates in space.
struct PlaneFrame {
    Eigen::Vector3d origin;
    Eigen::Vector3d x;
    Eigen::Vector3d y;
    Eigen::Vector3d normal;
};

PlaneFrame frame_of(const Module& module, const ModuleType& type) {
    PlaneFrame frame;
    frame.origin = module.corners_in_site[0];
    frame.x = (module.corners_in_site[1] - module.corners_in_site[0]) / type.width.value();
    frame.y = (module.corners_in_site[3] - module.corners_in_site[0]) / type.height.value();
    frame.normal = module.normal_in_site();
    return frame;
}

// The part of a convex polygon that lies on the sunny side of the plane (one pass of Sutherland and Hodgman).
std::vector<Eigen::Vector3d> in_front(const std::vector<Eigen::Vector3d>& corners, const PlaneFrame& plane) {
    std::vector<Eigen::Vector3d> kept;
    const auto height = [&](const Eigen::Vector3d& p) { return plane.normal.dot(p - plane.origin) - kClearOfPlane; };
    for (std::size_t i = 0; i < corners.size(); ++i) {
        const Eigen::Vector3d& from = corners[i];
        const Eigen::Vector3d& to = corners[(i + 1) % corners.size()];
        const double a = height(from);
        const double b = height(to);
        if (a > 0.0) {
            kept.push_back(from);
        }
        if ((a > 0.0) != (b > 0.0)) {
            kept.push_back(from + a / (a - b) * (to - from));
        }
    }
    return kept;
}

// A shadow in a module's plane coordinates.
struct Shadow {
    std::vector<Eigen::Vector2d> corners;
    std::vector<Eigen::Vector2d> inward;  // unit normals of the sides
    double margin_m = 0.0;                 // how far its edge may lie elsewhere
    int table = -1;
    int obstacle = -1;

    [[nodiscard]] bool may_touch(double width_m, double height_m) const {
        Eigen::Vector2d low = corners.front();
        Eigen::Vector2d high = corners.front();
        for (const Eigen::Vector2d& corner : corners) {
            low = low.cwiseMin(corner);
            high = high.cwiseMax(corner);
        }
        return low.x() <= width_m + margin_m && low.y() <= height_m + margin_m && high.x() >= -margin_m &&
               high.y() >= -margin_m;
    }
    // Distance from the nearest side, positive inside.
    [[nodiscard]] double depth(const Eigen::Vector2d& point) const {
        double least = HUGE_VAL;
        for (std::size_t i = 0; i < corners.size(); ++i) {
            least = std::min(least, inward[i].dot(point - corners[i]));
        }
        return least;
    }
};

void set_sides(Shadow& shadow) {
    double twice_area = 0.0;
    const auto cross = [](const Eigen::Vector2d& a, const Eigen::Vector2d& b) { return a.x() * b.y() - a.y() * b.x(); };
    for (std::size_t i = 0; i < shadow.corners.size(); ++i) {
        twice_area += cross(shadow.corners[i], shadow.corners[(i + 1) % shadow.corners.size()]);
    }
    const double turn = twice_area >= 0.0 ? 1.0 : -1.0;
    for (std::size_t i = 0; i < shadow.corners.size(); ++i) {
        const Eigen::Vector2d side = shadow.corners[(i + 1) % shadow.corners.size()] - shadow.corners[i];
        const double length = std::max(side.norm(), 1e-9);
        shadow.inward.emplace_back(turn * -side.y() / length, turn * side.x() / length);
    }
}

// Of a face, along the sun's rays onto the plane; nothing where the face lies behind it or out of reach.
std::optional<Shadow> shadow_of(const std::vector<Eigen::Vector3d>& face,
                                const PlaneFrame& plane,
                                const Eigen::Vector3d& to_sun,
                                const ShadeOptions& options) {
    Shadow shadow;
    double farthest = 0.0;
    for (const Eigen::Vector3d& corner : in_front(face, plane)) {
        const double travel = plane.normal.dot(corner - plane.origin) / plane.normal.dot(to_sun);
        const Eigen::Vector3d on_plane = corner - travel * to_sun - plane.origin;
        shadow.corners.emplace_back(plane.x.dot(on_plane), plane.y.dot(on_plane));
        farthest = std::max(farthest, travel);
    }
    if (shadow.corners.size() < 3 || farthest > options.reach.value()) {
        return std::nullopt;
    }
    shadow.margin_m = options.edge.value() + farthest * options.angle.value();
    set_sides(shadow);
    return shadow;
}

const Shadow& deepest_at(const std::vector<Shadow>& shadows, const Eigen::Vector2d& point) {
    return *std::max_element(shadows.begin(), shadows.end(), [&](const Shadow& a, const Shadow& b) {
        return a.depth(point) < b.depth(point);
    });
}

// Middle and corners of a cell.
std::array<Eigen::Vector2d, 5> samples_of(const ModuleType& type, int cell) {
    const auto corners = type.cell_corners(type.cell_at(cell));
    return {0.25 * (corners[0] + corners[1] + corners[2] + corners[3]), corners[0], corners[1], corners[2], corners[3]};
}

CellLight light_on(const ModuleType& type, int cell, const std::vector<Shadow>& shadows) {
    const auto samples = samples_of(type, cell);
    const auto reached = [&](const Eigen::Vector2d& point) {
        return std::any_of(
            shadows.begin(), shadows.end(), [&](const Shadow& s) { return s.depth(point) >= -s.margin_m; });
    };
    if (std::none_of(samples.begin(), samples.end(), reached)) {
        return CellLight::lit;
    }
    // Surely in the shade: covered wherever within the margin the shadow lies. Several faces of a table are one.
    double margin = 0.0;
    for (const Shadow& shadow : shadows) {
        margin = std::max(margin, shadow.margin_m);
    }
    const std::array<Eigen::Vector2d, 4> shifts = {Eigen::Vector2d{margin, 0.0},
                                                   Eigen::Vector2d{-margin, 0.0},
                                                   Eigen::Vector2d{0.0, margin},
                                                   Eigen::Vector2d{0.0, -margin}};
    const auto covered = [&](const Eigen::Vector2d& point) {
        return std::all_of(shifts.begin(), shifts.end(), [&](const Eigen::Vector2d& shift) {
            return std::any_of(
                shadows.begin(), shadows.end(), [&](const Shadow& s) { return s.depth(point + shift) >= -kGap; });
        });
    };
    return std::all_of(samples.begin(), samples.end(), covered) ? CellLight::shaded : CellLight::edge;
}

}  // namespace

ShadeFinder::ShadeFinder(const LayoutIndex& site, std::span<const Obstacle> obstacles, const ShadeOptions& options)
    : site_(site), options_(options), highest_m_(site.highest_m()) {
    for (std::size_t i = 0; i < obstacles.size(); ++i) {
        const Obstacle& obstacle = obstacles[i];
        const auto at = [&](std::size_t corner, double up) {
            const Eigen::Vector2d& place = obstacle.outline_in_site[corner % obstacle.outline_in_site.size()];
            return Eigen::Vector3d(place.x(), place.y(), up);
        };
        Face top{{}, -1, static_cast<int>(i)};
        for (std::size_t c = 0; c < obstacle.outline_in_site.size(); ++c) {
            top.corners.push_back(at(c, obstacle.top_m));
            obstacle_faces_.push_back({{at(c, obstacle.base_m),
                                        at(c + 1, obstacle.base_m),
                                        at(c + 1, obstacle.top_m),
                                        at(c, obstacle.top_m)},
                                       -1,
                                       static_cast<int>(i)});
        }
        obstacle_faces_.push_back(std::move(top));
    }
}

// Modules of other tables that lie towards the sun within reach of their shadows, and all obstacles.
std::vector<ShadeFinder::Face> ShadeFinder::faces_towards(int module, const Eigen::Vector3d& to_sun) const {
    std::vector<Face> faces = obstacle_faces_;
    const Module& own = site_.module(module);
    const Eigen::Vector3d& centre = site_.centre_in_site(module);
    const double drop = std::max(0.0, highest_m_ - centre.z() + site_.radius_m(module));
    const double travel = std::min(options_.reach.value(), drop / to_sun.z() * to_sun.head<2>().norm());
    const Eigen::Vector2d from = centre.head<2>();
    const Eigen::Vector2d to = from + travel * to_sun.head<2>().normalized();
    const double room = site_.radius_m(module) + site_.largest_radius_m();
    const Eigen::Vector2d low = from.cwiseMin(to).array() - room;
    const Eigen::Vector2d high = from.cwiseMax(to).array() + room;
    for (const int other : site_.modules_in_box(low, high)) {
        const Module& caster = site_.module(other);
        if (other == module || (own.table >= 0 && caster.table == own.table)) {
            continue;
        }
        faces.push_back({{caster.corners_in_site.begin(), caster.corners_in_site.end()}, caster.table, -1});
    }
    return faces;
}

ModuleShade ShadeFinder::on_module(int module, std::span<const Eigen::Vector3d> to_sun) const {
    const Module& own = site_.module(module);
    const ModuleType& type = site_.layout().type_of(own);
    const PlaneFrame plane = frame_of(own, type);
    const auto cells = static_cast<std::size_t>(type.cell_count());
    std::vector<int> moments_lit(cells, 0);
    std::vector<int> moments_shaded(cells, 0);
    std::map<std::pair<int, int>, int> touched_by;  // table, obstacle: cells
    int moments = 0;
    for (const Eigen::Vector3d& sun : to_sun) {
        if (sun.z() < kLowestSine || plane.normal.dot(sun) < kLowestSine) {
            continue;
        }
        ++moments;
        std::vector<Shadow> shadows;
        for (const Face& face : faces_towards(module, sun)) {
            if (auto shadow = shadow_of(face.corners, plane, sun, options_);
                shadow && shadow->may_touch(type.width.value(), type.height.value())) {
                shadow->table = face.table;
                shadow->obstacle = face.obstacle;
                shadows.push_back(std::move(*shadow));
            }
        }
        for (std::size_t c = 0; c < cells; ++c) {
            const CellLight light = shadows.empty() ? CellLight::lit : light_on(type, static_cast<int>(c), shadows);
            moments_lit[c] += light == CellLight::lit ? 1 : 0;
            moments_shaded[c] += light == CellLight::shaded ? 1 : 0;
            if (light != CellLight::lit) {
                const Shadow& deepest = deepest_at(shadows, samples_of(type, static_cast<int>(c)).front());
                ++touched_by[{deepest.table, deepest.obstacle}];
            }
        }
    }
    ModuleShade shade;
    if (touched_by.empty()) {
        return shade;
    }
    for (std::size_t c = 0; c < cells; ++c) {
        shade.cells.push_back(moments_lit[c] == moments      ? CellLight::lit
                              : moments_shaded[c] == moments ? CellLight::shaded
                                                             : CellLight::edge);
    }
    const auto most = std::max_element(
        touched_by.begin(), touched_by.end(), [](const auto& a, const auto& b) { return a.second < b.second; });
    std::tie(shade.table, shade.obstacle) = most->first;
    return shade;
}

}  // namespace heatrow
