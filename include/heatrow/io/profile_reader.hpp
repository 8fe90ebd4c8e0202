// Profile files: limits and rules, each with its source (docs/formats/profile.md).
#pragma once

#include "heatrow/score/profile.hpp"

#include <filesystem>
#include <string_view>

namespace heatrow {

// Throws Error(usage) naming file, line, key and value: a value missing or without a source, an unknown key or pattern.
Profile read_profile(const std::filesystem::path& file);
Profile parse_profile(std::string_view text, const std::filesystem::path& file);

}  // namespace heatrow
