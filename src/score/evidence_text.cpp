#include "evidence_text.hpp"

#include "heatrow/core/fixed_text.hpp"

#include <cmath>

namespace heatrow {

std::string number_words(double value, int decimals) {
    if (!std::isfinite(value)) {
        return "unknown";
    }
    return fixed_text(value, decimals);
}

std::string difference_words(const Uncertain<KelvinDelta>& value) {
    return number_words(value.value.value(), 1) + " K ± " + number_words(value.u95(), 1) + " K";
}

std::string count_words(int count, const std::string& noun) {
    return std::to_string(count) + " " + noun + (count == 1 ? "" : "s");
}

}  // namespace heatrow
