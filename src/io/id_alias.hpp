// Ids that a person takes for one another.
#pragma once

#include <string>
#include <string_view>

namespace heatrow::detail {

// Equal for ids that differ only by letter case, leading zeros of numbers, the letter O and zero, or blanks.
std::string alias_key(std::string_view id);

}  // namespace heatrow::detail
