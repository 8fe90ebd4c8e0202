// Between the passes: whether the layout fits together with what the frames show.
#pragma once

#include "frame_pass.hpp"
#include "heatrow/georeference/layout_conflict.hpp"

#include <string>
#include <vector>

namespace heatrow {

// Throws Error (input) where the layout as a whole lies elsewhere, or so many tables are in conflict that it is open
// which are right.
LayoutConflicts check_layout(const Layout& layout, const std::vector<FrameOutcome>& outcomes);

// What stands on a table in conflict tells nothing of places any more.
void silence_witnesses(const Layout& layout, const LayoutConflicts& conflicts, std::vector<FrameOutcome>& outcomes);

// Modules of the tables in conflict, by layout index, ascending.
std::vector<int> modules_in_conflict(const Layout& layout, const LayoutConflicts& conflicts);

// What the reader must know of them, one for each table.
std::vector<std::string> conflict_notes(const Layout& layout, const LayoutConflicts& conflicts);

}  // namespace heatrow
