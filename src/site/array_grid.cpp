#include "array_grid.hpp"

#include "heatrow/core/error.hpp"

namespace heatrow::detail {
namespace {

// The change of a row (table 0) or of one of its tables.
const PlaceChange* change_of(const ArrayArea& area, int row, int table) {
    for (const PlaceChange& change : area.changes) {
        if (change.row == row && change.table == table) {
            return &change;
        }
    }
    return nullptr;
}

template <class T>
void change(T& value, const std::optional<T>& changed) {
    value = changed.value_or(value);
}

void require_existing(const ArrayDescription& description, const PlacedArea& placed) {
    const ArrayArea& area = *placed.description;
    for (const PlaceChange& change : area.changes) {
        const bool row_exists = change.row <= static_cast<int>(placed.rows.size());
        if (!row_exists ||
            change.table > static_cast<int>(placed.rows[static_cast<std::size_t>(change.row - 1)].tables.size())) {
            fail_array(description,
                       "area \"" + area.id + "\"",
                       "row " + std::to_string(change.row) +
                           (change.table > 0 ? ", table " + std::to_string(change.table) : std::string()) +
                           " is changed but does not exist",
                       "Count rows from the front and tables from the left, from 1");
        }
    }
}

// A table's own plane, its lower left corner at the height that the ground has under the middle of its lower edge.
void set_place(const ArrayDescription& description,
               PlacedTable& table,
               Eigen::Vector2d corner,
               double lower_edge_m,
               double width_m) {
    const PlaneFrame plane(table.tilt_deg, table.azimuth_deg);
    const Eigen::Vector2d middle = corner + 0.5 * width_m * plane.right.head<2>();
    const double ground = description.ground_rise[0] * middle.x() + description.ground_rise[1] * middle.y();
    table.lower_left = {corner.x(), corner.y(), ground + lower_edge_m};
}

double gap_after(const ArrayArea& area, int table) {
    if (area.table_gaps_m.empty()) {
        return 0.0;
    }
    const std::size_t index = area.table_gaps_m.size() == 1 ? 0 : static_cast<std::size_t>(table);
    return index < area.table_gaps_m.size() ? area.table_gaps_m[index] : area.table_gaps_m.back();
}

}  // namespace

void fail_array(const ArrayDescription& description,
                std::string_view where,
                std::string_view why,
                std::string_view remedy) {
    throw Error(ErrorKind::usage, "cannot make the layout", description.name + ", " + std::string(where), why, remedy);
}

TypeSize place_size(const TypeSize& type, TopEdge top) {
    const bool upright = top == TopEdge::up || top == TopEdge::down;
    return upright ? type : TypeSize{type.height_m, type.width_m};
}

PlacedArea place_area(const ArrayDescription& description, const ArrayArea& area, const TypeSizes& sizes) {
    const TypeSize place = place_size(sizes.find(area.type)->second, area.top);
    const PlaneFrame first(0.0, area.azimuth_deg);
    PlacedArea placed{&area, {}};
    for (int row = 0; row < area.rows; ++row) {
        // Rows follow each other behind the first one, against the direction that the modules face.
        const Eigen::Vector2d offset =
            row * area.row_pitch_m * first.up.head<2>() + row * area.row_shift_m * first.right.head<2>();
        Eigen::Vector2d corner = Eigen::Vector2d(area.position_m[0], area.position_m[1]) + offset;
        PlacedTable rule;
        rule.tilt_deg = area.tilt_deg;
        rule.azimuth_deg = area.azimuth_deg;
        rule.grid = area.grid;
        double lower_edge_m = area.lower_edge_m;
        int tables = area.tables;
        const auto apply = [&](const PlaceChange* other, PlacedTable& table) {
            if (other == nullptr) {
                return;
            }
            change(table.tilt_deg, other->tilt_deg);
            change(table.azimuth_deg, other->azimuth_deg);
            change(table.grid.along, other->along);
            change(table.grid.up, other->up);
            change(lower_edge_m, other->lower_edge_m);
            change(tables, other->tables);
            if (other->position_m) {
                corner = {(*other->position_m)[0], (*other->position_m)[1]};
            }
        };
        apply(change_of(area, row + 1, 0), rule);
        PlacedRow placed_row;
        for (int number = 0; number < tables; ++number) {
            PlacedTable table = rule;
            apply(change_of(area, row + 1, number + 1), table);
            const double width = table.grid.along * (place.width_m + area.gap_along_m) - area.gap_along_m;
            set_place(description, table, corner, lower_edge_m, width);
            const PlaneFrame plane(table.tilt_deg, table.azimuth_deg);
            corner += (width + gap_after(area, number)) * plane.right.head<2>();
            lower_edge_m += area.table_step_m;
            rule.azimuth_deg = table.azimuth_deg + area.table_turn_deg;
            placed_row.tables.push_back(std::move(table));
        }
        placed.rows.push_back(std::move(placed_row));
    }
    require_existing(description, placed);
    return placed;
}

}  // namespace heatrow::detail
