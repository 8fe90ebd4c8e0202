// `heatrow inspect` for what a survey.toml names beside its thermal frames: logs, visible-light frames.
#pragma once

#include "heatrow/io/electrical_log.hpp"
#include "heatrow/io/survey_settings.hpp"
#include "inspect_log.hpp"

#include <optional>
#include <string>
#include <vector>

namespace heatrow::cli {

struct SurveyLogs {
    InspectedLog conditions;
    std::optional<ElectricalLog> electrical;
    std::vector<std::string> visible_frames;  // names
};

// Reads the layout, which says place and planes, and the logs as the settings say. Throws Error as their readers do.
SurveyLogs read_survey_logs(const SurveySettings& settings);

std::string logs_as_text(const SurveyLogs& logs);
// The frames' JSON with the logs added.
std::string with_logs_as_json(const std::string& frames_json, const SurveyLogs& logs);

}  // namespace heatrow::cli
