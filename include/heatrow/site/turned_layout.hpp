// Tables that turn about an axis: single-axis trackers.
//
// A rotation is positive clockwise looking along the axis' azimuth: about an axis towards south the front faces west.
#pragma once

#include "heatrow/core/units.hpp"
#include "heatrow/site/layout.hpp"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace heatrow {

// The axis of one table.
struct TableAxis {
    std::string tracker;              // what turns the table, as a log names it
    Radians azimuth{0.0};             // clockwise from true north
    Radians tilt{0.0};                // from horizontal; the axis sinks towards its azimuth
    Metres below{0.0};                // of the axis beneath the modules' plane
    Radians limit = degrees(60.0);    // of the rotation, to either side of flat
    std::optional<Metres> row_pitch;  // across the axes, to the next one; needed for turning back
};

// Axes by table, as in Layout::tables; nothing for a table that stands still.
using TableAxes = std::vector<std::optional<TableAxis>>;

// Furthest that a module may lean along its axis and still be said to turn about it.
inline constexpr Radians kMostLean = degrees(3.0);

// Rotation at which a table stands, by the normal of its first module. NaN where the normal leans along the axis by
// more than kMostLean: the axis is not that of this table. Precondition: the table has modules.
Radians rotation_of(const Layout& layout, int table, const TableAxis& axis);

// Width of a table across its axis, m.
Metres width_across(const Layout& layout, int table, const TableAxis& axis);

// The layout with its tables turned to these rotations, by table; NaN leaves one as it is. The axis runs below the
// middle of the table's width.
Layout turned_layout(const Layout& layout, const TableAxes& axes, std::span<const Radians> rotations);

}  // namespace heatrow
