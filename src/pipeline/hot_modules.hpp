// Which cells are worth a second look, and which views show them best.
#pragma once

#include "heatrow/core/fused_cell.hpp"
#include "heatrow/core/placed_view.hpp"
#include "heatrow/core/units.hpp"

#include <map>
#include <span>
#include <vector>

namespace heatrow {

// Cells whose temperature is above the median of their module's by so much at least, ascending.
std::vector<int> cells_above(const FusedModule& fused, KelvinDelta least);

using ViewsByModule = std::map<int, std::vector<const PlacedView*>>;  // by layout index

ViewsByModule views_by_module(std::span<const PlacedView> views);

// By area in the picture; of equal ones the earlier frame first.
void sort_largest_first(std::vector<const PlacedView*>& views);

}  // namespace heatrow
