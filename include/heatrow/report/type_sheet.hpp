// Module types drawn side by side at one scale: cells, bypassed groups, boxes, + lead.
#pragma once

#include "heatrow/site/module_type.hpp"

#include <string>
#include <vector>

namespace heatrow {

// At least one type. Seen from the front with the type's `top` up. Same types, same bytes.
std::string type_sheet_svg(const std::vector<ModuleType>& types);

}  // namespace heatrow
