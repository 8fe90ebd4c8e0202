// The axes about which tables turn, from the layout file (docs/formats/layout.md).
#pragma once

#include "heatrow/site/layout.hpp"
#include "heatrow/site/turned_layout.hpp"

#include <filesystem>

namespace heatrow {

// Axes of the tables of `layout`, which was read from `file`. Throws Error naming file, module, field and value: as
// read_layout does; no table has an axis; modules of a table have different ones; a table as it is drawn does not turn
// about its axis.
TableAxes read_tracker_axes(const std::filesystem::path& file, const Layout& layout);

}  // namespace heatrow
