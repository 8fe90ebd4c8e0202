#include "heatrow/site/turned_layout.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

using Eigen::Vector3d;

// Unit vectors of an axis at rotation zero; `across` to the right of its azimuth.
struct AxisFrame {
    Vector3d along;
    Vector3d across;
    Vector3d normal;
};

AxisFrame frame_of(const TableAxis& axis) {
    const double azimuth = axis.azimuth.value();
    const double tilt = axis.tilt.value();
    const Vector3d level(std::sin(azimuth), std::cos(azimuth), 0.0);
    AxisFrame frame;
    frame.along = std::cos(tilt) * level - std::sin(tilt) * Vector3d::UnitZ();
    frame.across = {std::cos(azimuth), -std::sin(azimuth), 0.0};
    frame.normal = frame.across.cross(frame.along);
    return frame;
}

const Module& module_of(const Layout& layout, int index) {
    return layout.modules[static_cast<std::size_t>(index)];
}

// Extent of a table's corners along a direction.
struct Extent {
    double low = HUGE_VAL;
    double high = -HUGE_VAL;
};

Extent extent_along(const Layout& layout, const Table& table, const Vector3d& direction) {
    Extent extent;
    for (const int index : table.modules) {
        for (const Vector3d& corner : module_of(layout, index).corners_in_site) {
            extent.low = std::min(extent.low, corner.dot(direction));
            extent.high = std::max(extent.high, corner.dot(direction));
        }
    }
    return extent;
}

Vector3d across_at(const AxisFrame& frame, Radians rotation) {
    return std::cos(rotation.value()) * frame.across - std::sin(rotation.value()) * frame.normal;
}

Vector3d normal_at(const AxisFrame& frame, Radians rotation) {
    return std::sin(rotation.value()) * frame.across + std::cos(rotation.value()) * frame.normal;
}

void turn_table(Layout& layout, int number, const TableAxis& axis, Radians rotation) {
    const Table& table = layout.tables[static_cast<std::size_t>(number)];
    const Radians now = rotation_of(layout, number, axis);
    const AxisFrame frame = frame_of(axis);
    const Vector3d across = across_at(frame, now);
    const Vector3d normal = normal_at(frame, now);
    const Extent width = extent_along(layout, table, across);
    const Extent depth = extent_along(layout, table, normal);
    const Vector3d on_axis =
        0.5 * (width.low + width.high) * across + (0.5 * (depth.low + depth.high) - axis.below.value()) * normal;
    const Eigen::Matrix3d turn = Eigen::AngleAxisd((rotation - now).value(), frame.along).toRotationMatrix();
    for (const int index : table.modules) {
        Module& module = layout.modules[static_cast<std::size_t>(index)];
        for (Vector3d& corner : module.corners_in_site) {
            corner = on_axis + turn * (corner - on_axis);
        }
        const Vector3d facing = module.normal_in_site();
        module.tilt = Radians(std::atan2(std::hypot(facing.x(), facing.y()), facing.z()));
        // a flat module keeps the azimuth that it had
        constexpr double kFlat = 1e-6;
        if (std::hypot(facing.x(), facing.y()) > kFlat) {
            module.azimuth = wrap_full_turn(Radians(std::atan2(facing.x(), facing.y())));
        }
    }
}

}  // namespace

Radians rotation_of(const Layout& layout, int table, const TableAxis& axis) {
    const AxisFrame frame = frame_of(axis);
    const Vector3d normal =
        module_of(layout, layout.tables[static_cast<std::size_t>(table)].modules.front()).normal_in_site();
    if (std::abs(normal.dot(frame.along)) > std::sin(kMostLean.value())) {
        return Radians(kNaN);
    }
    return Radians(std::atan2(normal.dot(frame.across), normal.dot(frame.normal)));
}

Metres width_across(const Layout& layout, int table, const TableAxis& axis) {
    const Vector3d across = across_at(frame_of(axis), rotation_of(layout, table, axis));
    const Extent width = extent_along(layout, layout.tables[static_cast<std::size_t>(table)], across);
    return Metres(width.high - width.low);
}

Layout turned_layout(const Layout& layout, const TableAxes& axes, std::span<const Radians> rotations) {
    Layout turned = layout;
    for (std::size_t table = 0; table < axes.size(); ++table) {
        if (axes[table] && !std::isnan(rotations[table].value())) {
            turn_table(turned, static_cast<int>(table), *axes[table], rotations[table]);
        }
    }
    return turned;
}

}  // namespace heatrow
