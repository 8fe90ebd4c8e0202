// Every figure that `compare` judges by, read from a profile file (docs/seasons.md), each with its source.
#pragma once

#include "heatrow/core/units.hpp"

#include <array>
#include <string>
#include <string_view>

namespace heatrow {

struct ComparisonLimit {
    double value = kNaN;
    std::string source;
};

struct ComparisonProfile {
    std::string id;
    std::string version;
    std::string title;

    ComparisonLimit least_shared;       // share of the smaller survey's modules that both must know
    ComparisonLimit most_moved;         // share of shared ids that may stand elsewhere
    ComparisonLimit same_place_pitch;   // share of a module's shorter side within which a place is the same
    ComparisonLimit heat_loss_u0;       // W/m2K
    ComparisonLimit heat_loss_u1;       // W s/m3K
    ComparisonLimit heat_loss_ratio_u;  // of u1 / u0, share; common to all surveys
    ComparisonLimit reference_wind_m_s;
    ComparisonLimit camera_gain_u;   // share; standard uncertainties from here on
    ComparisonLimit wind_u_m_s;      // where a survey states none
    ComparisonLimit irradiance_u;    // share, where a survey states none
    ComparisonLimit least_cell_u_k;  // of the change of a healthy part, at least
    ComparisonLimit least_substring_u_k;
    ComparisonLimit least_module_u_k;
    ComparisonLimit least_string_u_k;
    ComparisonLimit assumed_cell_u_k;  // the same where too few are compared to tell
    ComparisonLimit assumed_substring_u_k;
    ComparisonLimit assumed_module_u_k;
    ComparisonLimit assumed_string_u_k;
    ComparisonLimit spread_from;         // so many
    ComparisonLimit known_sigma;         // combined standard uncertainties that make a change of what a finding names
    ComparisonLimit search_false_share;  // of unchanged modules, for all their other parts together
    ComparisonLimit detectable_sigma;    // size of a change that is found in 95 %
    ComparisonLimit least_cell_k;        // of a change without a finding
    ComparisonLimit least_substring_k;
    ComparisonLimit least_module_k;
    ComparisonLimit least_string_k;
};

struct ComparisonProfileKey {
    std::string_view table;
    std::string_view name;
    ComparisonLimit ComparisonProfile::*member;
};
// In the order of the file.
inline constexpr std::array<ComparisonProfileKey, 26> kComparisonProfileKeys{{
    {"identity", "least_shared", &ComparisonProfile::least_shared},
    {"identity", "most_moved", &ComparisonProfile::most_moved},
    {"identity", "same_place_pitch", &ComparisonProfile::same_place_pitch},
    {"scaling", "heat_loss_u0", &ComparisonProfile::heat_loss_u0},
    {"scaling", "heat_loss_u1", &ComparisonProfile::heat_loss_u1},
    {"scaling", "heat_loss_ratio_u", &ComparisonProfile::heat_loss_ratio_u},
    {"scaling", "reference_wind_m_s", &ComparisonProfile::reference_wind_m_s},
    {"uncertainty", "camera_gain_u", &ComparisonProfile::camera_gain_u},
    {"uncertainty", "wind_u_m_s", &ComparisonProfile::wind_u_m_s},
    {"uncertainty", "irradiance_u", &ComparisonProfile::irradiance_u},
    {"uncertainty", "least_cell_u_k", &ComparisonProfile::least_cell_u_k},
    {"uncertainty", "least_substring_u_k", &ComparisonProfile::least_substring_u_k},
    {"uncertainty", "least_module_u_k", &ComparisonProfile::least_module_u_k},
    {"uncertainty", "least_string_u_k", &ComparisonProfile::least_string_u_k},
    {"uncertainty", "assumed_cell_u_k", &ComparisonProfile::assumed_cell_u_k},
    {"uncertainty", "assumed_substring_u_k", &ComparisonProfile::assumed_substring_u_k},
    {"uncertainty", "assumed_module_u_k", &ComparisonProfile::assumed_module_u_k},
    {"uncertainty", "assumed_string_u_k", &ComparisonProfile::assumed_string_u_k},
    {"uncertainty", "spread_from", &ComparisonProfile::spread_from},
    {"change", "known_sigma", &ComparisonProfile::known_sigma},
    {"change", "search_false_share", &ComparisonProfile::search_false_share},
    {"change", "detectable_sigma", &ComparisonProfile::detectable_sigma},
    {"change", "least_cell_k", &ComparisonProfile::least_cell_k},
    {"change", "least_substring_k", &ComparisonProfile::least_substring_k},
    {"change", "least_module_k", &ComparisonProfile::least_module_k},
    {"change", "least_string_k", &ComparisonProfile::least_string_k},
}};

// What is wrong with the values, in words that name the key; empty where all is well.
std::string first_problem(const ComparisonProfile& profile);

}  // namespace heatrow
