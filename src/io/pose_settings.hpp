// [poses] of survey.toml.
#pragma once

#include "heatrow/io/survey_settings.hpp"
#include "toml_section.hpp"

namespace heatrow {

// All keys of the section, the clock's included.
const std::vector<std::string_view>& pose_keys();
// Everything but the clock and the altitude's reference, which the caller reads.
PoseSettings read_pose_settings(const detail::TomlSection& section, const std::filesystem::path& folder);

}  // namespace heatrow
