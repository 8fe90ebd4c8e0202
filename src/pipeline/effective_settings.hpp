// The settings of a run as text, for the manifest.
#pragma once

#include "heatrow/io/survey_settings.hpp"

#include <string>
#include <utility>
#include <vector>

namespace heatrow {

// Every value that survey.toml can set, given or defaulted, by dotted key in the order of docs/formats/survey-toml.md.
// Paths are relative to the survey folder.
std::vector<std::pair<std::string, std::string>> effective_settings(const SurveySettings& settings);

}  // namespace heatrow
