// Numbers in the sentences of rejections.
#pragma once

#include <array>
#include <cstdio>
#include <string>

namespace heatrow::detail {

// "12.35" with two decimals.
inline std::string rounded(double value, int decimals) {
    std::array<char, 64> buffer{};
    std::snprintf(buffer.data(), buffer.size(), "%.*f", decimals, value);
    return buffer.data();
}

}  // namespace heatrow::detail
