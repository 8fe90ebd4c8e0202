// The places of an array: which tables stand where, which modules they hold.
#pragma once

#include "heatrow/site/array_description.hpp"

#include <vector>

namespace heatrow::detail {

struct PlacedTable {
    std::string id;
    double tilt_deg = 0.0;
    double azimuth_deg = 0.0;
    Eigen::Vector3d lower_left{0.0, 0.0, 0.0};
    TableGrid grid;
    std::vector<std::string> ids;  // of the places, tier by tier from the lower left
    std::vector<int> modules;      // index in the planned modules; -1: missing

    [[nodiscard]] std::size_t place(int column, int tier) const {
        return static_cast<std::size_t>(tier * grid.along + column);
    }
};

struct PlacedRow {
    int number = 1;                   // as counted
    std::vector<PlacedTable> tables;  // from the left
};

struct PlacedArea {
    const ArrayArea* description = nullptr;
    std::vector<PlacedRow> rows;  // from the front
};

[[noreturn]] void fail_array(const ArrayDescription& description,
                             std::string_view where,
                             std::string_view why,
                             std::string_view remedy);

// Tables in their places, without ids and modules.
PlacedArea place_area(const ArrayDescription& description, const ArrayArea& area, const TypeSizes& sizes);
// Gives ids to the tables and to their places.
void number_area(PlacedArea& area);
// Puts the modules of the area into strings.
void wire_area(const PlacedArea& area, std::vector<PlannedModule>& modules);

// Size of a module's place, m: along the row, and up the slope.
TypeSize place_size(const TypeSize& type, TopEdge top);

}  // namespace heatrow::detail
