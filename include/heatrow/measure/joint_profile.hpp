// Limits and verdicts for electrical joints: every figure that `joints` judges by, read from a profile file
// (docs/formats/joints.md), each with its source.
#pragma once

#include "heatrow/core/finding.hpp"
#include "heatrow/core/units.hpp"

#include <array>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// One figure of a joint profile, with where it comes from.
struct JointLimit {
    double value = kNaN;
    std::string source;
};

// What a step holds against its limit.
enum class JointComparison {
    siblings,  // scaled rise of the joint minus the median of its siblings'
    air,       // scaled rise of the joint over the air
};
std::string_view to_string(JointComparison comparison);

// At which load both are taken.
enum class JointLoad {
    rated,  // everything scaled to rated current
    own,    // the siblings scaled to the load fraction of the joint; its own rise as measured
};
std::string_view to_string(JointLoad load);

// From this difference on the joint has at least this class.
struct JointStep {
    JointComparison comparison = JointComparison::siblings;
    KelvinDelta from{kNaN};
    AbnormalityClass abnormality = AbnormalityClass::thermal;
    std::string action;  // what the profile asks for, a sentence
    std::string source;
};

struct JointProfile {
    std::string id;
    std::string version;
    std::string title;
    JointLoad load = JointLoad::rated;

    JointLimit minimum_load_fraction;  // current over rated current; below it nothing is judged
    JointLimit least_emissivity;       // of the surface; below it nothing is judged
    JointLimit least_load_held_min;    // a younger load has not warmed the joint through
    JointLimit most_cover_open_min;    // an older opening has let the joint cool
    JointLimit exponent;               // of the scaling with current
    JointLimit exponent_low;           // its range, enters the uncertainty
    JointLimit exponent_high;
    JointLimit current_u_share;  // standard uncertainties, where list and options give none: of a current reading
    JointLimit temperature_u_k;  // of a typed temperature
    JointLimit air_u_k;          // of the air's
    JointLimit reflected_u_k;    // of the reflected temperature
    JointLimit emissivity_u;
    JointLimit tape_emissivity;  // of surfaces whose emissivity the list does not give
    JointLimit insulation_emissivity;
    JointLimit paint_emissivity;
    std::vector<JointStep> steps;  // in the order of the file
};

// One figure of a profile file: its table, its key and where its value goes.
struct JointProfileKey {
    std::string_view table;
    std::string_view name;
    JointLimit JointProfile::*member;
};
inline constexpr std::array<JointProfileKey, 15> kJointProfileKeys{{
    {"limits", "minimum_load_fraction", &JointProfile::minimum_load_fraction},
    {"limits", "least_emissivity", &JointProfile::least_emissivity},
    {"limits", "least_load_held_min", &JointProfile::least_load_held_min},
    {"limits", "most_cover_open_min", &JointProfile::most_cover_open_min},
    {"scaling", "exponent", &JointProfile::exponent},
    {"scaling", "exponent_low", &JointProfile::exponent_low},
    {"scaling", "exponent_high", &JointProfile::exponent_high},
    {"uncertainty", "current_u_share", &JointProfile::current_u_share},
    {"uncertainty", "temperature_u_k", &JointProfile::temperature_u_k},
    {"uncertainty", "air_u_k", &JointProfile::air_u_k},
    {"uncertainty", "reflected_u_k", &JointProfile::reflected_u_k},
    {"uncertainty", "emissivity_u", &JointProfile::emissivity_u},
    {"surfaces", "tape_emissivity", &JointProfile::tape_emissivity},
    {"surfaces", "insulation_emissivity", &JointProfile::insulation_emissivity},
    {"surfaces", "paint_emissivity", &JointProfile::paint_emissivity},
}};

// What is wrong with the values, in words that name the key; empty where all is well.
std::string first_problem(const JointProfile& profile);

}  // namespace heatrow
