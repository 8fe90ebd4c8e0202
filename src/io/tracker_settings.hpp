// [trackers] of survey.toml.
#pragma once

#include "heatrow/io/survey_settings.hpp"
#include "toml_section.hpp"

namespace heatrow {

// All keys of the section, the clock's included.
const std::vector<std::string_view>& tracker_keys();
// Everything but the clock, which the caller reads like every other clock.
TrackerSettings read_tracker_settings(const detail::TomlSection& section, const std::filesystem::path& folder);

}  // namespace heatrow
