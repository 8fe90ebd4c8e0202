// Which text belongs to which outline.
#pragma once

#include "heatrow/io/drawing_reader.hpp"

#include <string>
#include <vector>

namespace heatrow::detail {

// The text of each outline: the one inside it, else the nearest of those inside no outline and no farther from its
// centre than its diagonal. Throws Error(input) naming the outline and its place where there is none, where two lie
// inside, or where a text is the nearest one of two outlines.
std::vector<std::string> match_labels(const Drawing& drawing);

}  // namespace heatrow::detail
