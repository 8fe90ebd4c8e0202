#include "heatrow/record/cells_seen.hpp"

#include <algorithm>

namespace heatrow {

int cells_seen(const ModuleResult& result) {
    return static_cast<int>(std::count_if(
        result.cells.begin(), result.cells.end(), [](const CellResult& cell) { return cell.temperature.is_known(); }));
}

}  // namespace heatrow
