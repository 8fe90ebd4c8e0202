#include "shown_cells.hpp"

namespace heatrow {

bool shows_cells(const ModuleResult& result) {
    return !result.cells.empty() && (result.assessed || result.flags.has(Flag::seen_in_part));
}

}  // namespace heatrow
