// Colours that tell strings apart where they meet, also in grey print.
#pragma once

#include "heatrow/site/layout.hpp"

#include <string_view>
#include <vector>

namespace heatrow {

// Of modules that are in no string.
inline constexpr std::string_view kNoString = "#ffffff";

// One colour for each string of the layout; strings with modules side by side differ in lightness.
std::vector<std::string_view> string_colours(const Layout& layout);

}  // namespace heatrow
