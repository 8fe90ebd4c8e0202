#include "heatrow/core/fixed_text.hpp"

#include <array>
#include <charconv>
#include <cmath>

namespace heatrow {

std::string fixed_text(double value, int decimals) {
    if (!std::isfinite(value)) {
        return {};
    }
    std::array<char, 400> buffer;  // DBL_MAX has 309 digits before the point
    const auto [end, error] =
        std::to_chars(buffer.data(), buffer.data() + buffer.size(), value, std::chars_format::fixed, decimals);
    if (error != std::errc{}) {
        return {};
    }
    std::string text(buffer.data(), end);
    if (text.front() == '-' && text.find_first_not_of("-0.") == std::string::npos) {
        text.erase(0, 1);
    }
    return text;
}

}  // namespace heatrow
