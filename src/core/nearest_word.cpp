#include "heatrow/core/nearest_word.hpp"

#include <algorithm>
#include <vector>

namespace heatrow {
namespace {

// Optimal string alignment distance.
std::size_t edit_distance(std::string_view a, std::string_view b) {
    std::vector<std::size_t> before_last(b.size() + 1);
    std::vector<std::size_t> last(b.size() + 1);
    std::vector<std::size_t> current(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j) {
        last[j] = j;
    }
    for (std::size_t i = 1; i <= a.size(); ++i) {
        current[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t replace = last[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
            current[j] = std::min({replace, last[j] + 1, current[j - 1] + 1});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
                current[j] = std::min(current[j], before_last[j - 2] + 1);
            }
        }
        std::swap(before_last, last);
        std::swap(last, current);
    }
    return last[b.size()];
}

}  // namespace

std::optional<std::string> nearest_word(std::string_view word, std::span<const std::string> known) {
    const std::size_t allowed = std::max<std::size_t>(1, word.size() / 3);
    std::size_t best = allowed + 1;
    std::optional<std::string> nearest;
    for (const std::string& candidate : known) {
        if (const std::size_t distance = edit_distance(word, candidate); distance < best) {
            best = distance;
            nearest = candidate;
        }
    }
    return nearest;
}

}  // namespace heatrow
