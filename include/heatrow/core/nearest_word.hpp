// "Did you mean ...?" for words that the program does not know.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace heatrow {

// The known word nearest to `word` by edit distance (insert, delete, replace, swap of neighbours), if it is near
// enough to be a slip: at most a third of its length, at least one edit. Ties go to the earlier word.
std::optional<std::string> nearest_word(std::string_view word, std::span<const std::string> known);

}  // namespace heatrow
