// [conditions] of survey.toml.
#pragma once

#include "heatrow/io/survey_settings.hpp"
#include "toml_section.hpp"

namespace heatrow {

// All keys of the section, the clock's included.
const std::vector<std::string_view>& conditions_keys();
// Everything but the clock, which the caller reads like every other clock.
ConditionsSettings read_conditions_settings(const detail::TomlSection& section, const std::filesystem::path& folder);

}  // namespace heatrow
