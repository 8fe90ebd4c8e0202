// [conditions] of survey.toml, and what other logs share with it.
#pragma once

#include "heatrow/io/survey_settings.hpp"
#include "toml_section.hpp"

namespace heatrow {

// All keys of the section, the clock's included.
const std::vector<std::string_view>& conditions_keys();
// Everything but the clock, which the caller reads like every other clock.
ConditionsSettings read_conditions_settings(const detail::TomlSection& section, const std::filesystem::path& folder);

// What logs of every kind have in common: a table of quantity = text, and the order of dates with slashes.
std::map<std::string, std::string> read_names(const detail::TomlSection& section,
                                              std::string_view key,
                                              const std::vector<std::string_view>& known);
std::optional<DateOrder> read_date_order(const detail::TomlSection& section);

}  // namespace heatrow
