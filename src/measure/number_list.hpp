// Numbers of a command line, separated by commas.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

namespace heatrow {

// Nothing where one of them is no finite number.
std::optional<std::vector<double>> numbers_of(std::string_view text);

}  // namespace heatrow
