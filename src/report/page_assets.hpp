// The page's style sheet and script, from src/report/page/.
#pragma once

#include <string_view>

namespace heatrow {

std::string_view page_style();
std::string_view page_script();

}  // namespace heatrow
