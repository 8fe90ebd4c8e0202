// Limits and rules: every threshold of the program, read from a versioned profile file (docs/formats/profile.md), each
// with its source.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "heatrow/core/finding.hpp"
#include "heatrow/core/units.hpp"

namespace heatrow {

// One value of a profile, with where it comes from.
struct ProfileValue {
    double value = 0.0;
    std::string source;
};

// The rule on the difference of one pattern, at 1000 W/m2.
struct PatternRule {
    KelvinDelta class_2_from{kNaN};  // NaN: the pattern never gets this class by its difference
    KelvinDelta class_3_from{kNaN};
    double exponent = 1.0;           // of the scaling with irradiance
    double exponent_low = 1.0;       // range, enters the uncertainty
    double exponent_high = 1.0;
    std::string source;
};

struct Profile {
    std::string id;
    std::string version;
    std::string title;

    // Conditions
    ProfileValue minimum_irradiance_w_m2;
    ProfileValue maximum_wind_m_s;
    ProfileValue maximum_irradiance_change_per_minute;  // share of the irradiance
    ProfileValue settling_time_min;                     // wait after such a change
    ProfileValue maximum_cloud_okta;

    // Views
    ProfileValue minimum_elevation_to_plane_deg;  // least angle between line of sight and module plane
    ProfileValue minimum_pixels_per_cell;         // across the shorter side
    ProfileValue maximum_smear_px;

    // Radiometry
    ProfileValue glass_emissivity;
    ProfileValue emissivity_u;      // standard uncertainty
    ProfileValue reflected_u_k;     // standard uncertainty of the reflected temperature, K
    ProfileValue plausible_low_c;   // a frame whose median lies outside, or whose 99th percentile lies above, has been
    ProfileValue plausible_high_c;  // given a wrong encoding, degC

    // Detection: from which difference on a pattern is reported at all, as measured and in units of its uncertainty
    ProfileValue candidate_cell_k;
    ProfileValue candidate_substring_k;
    ProfileValue candidate_module_k;
    ProfileValue candidate_string_k;
    ProfileValue candidate_sigma;

    std::array<std::optional<PatternRule>, kPatternCount> rules;
    [[nodiscard]] const std::optional<PatternRule>& rule(Pattern pattern) const {
        return rules[static_cast<std::size_t>(pattern)];
    }
};

}  // namespace heatrow
