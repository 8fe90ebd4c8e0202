// Numbers in the room's messages.
#pragma once

#include <array>
#include <cstdio>
#include <string>

namespace heatrow::detail {

// Fixed-point: "12.3".
inline std::string fixed(double value, int decimals) {
    std::array<char, 64> text{};
    std::snprintf(text.data(), text.size(), "%.*f", decimals, value);
    return text.data();
}

}  // namespace heatrow::detail
