// Tables found in frames, numbered and written down as modules of a layout.
#pragma once

#include "heatrow/georeference/grid_joining.hpp"
#include "heatrow/pipeline/draft_layout.hpp"
#include "heatrow/site/module_type.hpp"

#include <vector>

namespace heatrow {

// Fills `tables` and `modules`. Areas by the direction they face (letters where there are several), rows from the
// front, tables from the left of one who looks up the slope; places without a module keep their number.
void plan_draft(const JoinedGrids& joined, const std::vector<ModuleType>& types, LayoutDraft& draft);

}  // namespace heatrow
