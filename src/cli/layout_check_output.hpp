// What `layout check` says, as text and as JSON.
#pragma once

#include "heatrow/io/layout_check.hpp"

#include <string>

namespace heatrow::cli {

// Modules by type, strings by length, tables by size; with every string and table where `all`.
std::string layout_counts_text(const LayoutCheck& check, bool all);
// One paragraph a problem, at most `most` of one kind.
std::string layout_problems_text(const LayoutCheck& check, int most);
std::string layout_check_json(const LayoutCheck& check, const std::string& file);

}  // namespace heatrow::cli
