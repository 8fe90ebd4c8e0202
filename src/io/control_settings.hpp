// [control] of survey.toml.
#pragma once

#include "heatrow/io/survey_settings.hpp"
#include "toml_section.hpp"

namespace heatrow {

const std::vector<std::string_view>& control_keys();
ControlSettings read_control_settings(const detail::TomlSection& section, const std::filesystem::path& folder);

// Pixel centres are integers: half a pixel beyond the outermost ones is still inside.
bool is_in_picture(const CameraSettings& camera, double x, double y);

}  // namespace heatrow
