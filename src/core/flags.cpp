#include "heatrow/core/flags.hpp"

#include <array>

namespace heatrow {
namespace {

constexpr std::array<std::string_view, 13> kFlagNames = {
    "irradiance_below_minimum",
    "wind_above_maximum",
    "irradiance_unsteady",
    "cloud_above_maximum",
    "too_few_pixels",
    "angle_too_shallow",
    "smeared",
    "glint",
    "single_view",
    "load_unknown",
    "clipped",
    "lower_bound",
    "seen_in_part",
};
static_assert(kFlagNames.size() == static_cast<std::size_t>(Flag::seen_in_part) + 1);

}  // namespace

std::string_view to_string(Flag flag) {
    return kFlagNames[static_cast<std::size_t>(flag)];
}

std::vector<Flag> Flags::list() const {
    std::vector<Flag> flags;
    for (std::size_t i = 0; i < kFlagNames.size(); ++i) {
        if (const auto flag = static_cast<Flag>(i); has(flag)) {
            flags.push_back(flag);
        }
    }
    return flags;
}

std::string Flags::to_string() const {
    std::string joined;
    for (const Flag flag : list()) {
        if (!joined.empty()) {
            joined.push_back('|');
        }
        joined.append(heatrow::to_string(flag));
    }
    return joined;
}

}  // namespace heatrow
