// Profiles of `compare` (docs/seasons.md).
#pragma once

#include "heatrow/compare/comparison_profile.hpp"

#include <filesystem>
#include <string_view>

namespace heatrow {

// Throws Error(usage) naming file, line, key and value: a value missing or without a source, an unknown key.
ComparisonProfile read_comparison_profile(const std::filesystem::path& file);
ComparisonProfile parse_comparison_profile(std::string_view text, const std::filesystem::path& file);

}  // namespace heatrow
