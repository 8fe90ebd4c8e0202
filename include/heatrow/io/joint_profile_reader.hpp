// Profiles of electrical joints (docs/formats/joints.md).
#pragma once

#include "heatrow/measure/joint_profile.hpp"

#include <filesystem>
#include <string_view>

namespace heatrow {

// Throws Error(usage) naming file, line, key and value: a value missing or without a source, an unknown key or word.
JointProfile read_joint_profile(const std::filesystem::path& file);
JointProfile parse_joint_profile(std::string_view text, const std::filesystem::path& file);

}  // namespace heatrow
