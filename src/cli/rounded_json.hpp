// Numbers in JSON outputs.
#pragma once

#include <nlohmann/json.hpp>

#include <cmath>

namespace heatrow::cli {

// Rounded; of a temperature two decimals are written; null where it is not known.
inline nlohmann::ordered_json rounded(double value, int decimals = 2) {
    if (!std::isfinite(value)) {
        return nullptr;
    }
    const double factor = std::pow(10.0, decimals);
    return std::round(value * factor) / factor;
}

}  // namespace heatrow::cli
