// Limits of the classes of abnormality, from a profile file (docs/formats/profile.md).
#pragma once

#include <filesystem>
#include <map>
#include <string>

namespace scene {

struct ClassRule {
    double class_2_from_k = 0.0;  // NaN = never
    double class_3_from_k = 0.0;
    double exponent = 1.0;
    double exponent_low = 1.0;
    double exponent_high = 1.0;

    [[nodiscard]] int class_of(double delta_t_1000_k) const;
    // From the difference to the nearest limit, K; NaN without limits.
    [[nodiscard]] double distance_k(double delta_t_1000_k) const;
};

// By pattern; patterns without a limit on the difference are left out.
using ClassRules = std::map<std::string, ClassRule>;
ClassRules read_class_rules(const std::filesystem::path& profile);

}  // namespace scene
