// What `heatrow joints` says in words.
#pragma once

#include "joint_survey.hpp"

#include <array>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow::cli {

// One sentence a flag: place, field, value, what it means and what to do.
std::vector<std::string> joint_reasons(const JointSurvey& survey, std::size_t joint);

// What a difference and its verdict stand on, e.g. "34.2 K over the median of 2 siblings at rated current ...".
std::string joint_evidence(const JointSurvey& survey, std::size_t joint);

// "bare metal" of JointSurface::bare_metal.
std::string surface_words(JointSurface surface);

// "at rated current" or "at the joint's own load".
std::string_view load_words(JointLoad load);

// "12.3 +- 1.2", with "at least" where it is a lower bound; "-" where unknown.
std::string plus_minus(const Uncertain<KelvinDelta>& value, bool lower_bound = false);

inline constexpr std::array<std::string_view, 6> kJointCautions{
    "Joints are live. Covers are opened only by qualified people under local codes and a permit, never for a better "
    "picture.",
    "Arc flash and shock can kill: keep to the approach limits and the protective equipment that the assessment for "
    "this "
    "board asks for; stand aside of doors that are opened.",
    "Direct current does not go out by itself, and arrays are live in daylight, whatever the switch says.",
    "Never raise the load, tighten, touch or tape a live joint to measure it. Tape is put on dead, before the survey.",
    "A verdict of class 3 is told to the person in charge at once, before the report.",
    "These limits come from the profile named here, not from a standard read in full. A qualified person decides."};

}  // namespace heatrow::cli
