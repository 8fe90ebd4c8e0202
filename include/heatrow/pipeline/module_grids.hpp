// Module grids of one picture, without a layout: framed areas (vision) fitted to lattices (segment).
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/core/rejection.hpp"
#include "heatrow/segment/module_lattice.hpp"

#include <tl/expected.hpp>

#include <vector>

namespace heatrow {

// Largest grid first; not_locked says what was missing. Lines may be darker or brighter than the modules.
tl::expected<std::vector<ModuleGrid>, Rejection> find_module_grids(CountView counts, const GridOptions& options = {});

}  // namespace heatrow
