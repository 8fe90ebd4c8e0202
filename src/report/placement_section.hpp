// How the frames were placed on the layout, and how control fits: a section of the report.
#pragma once

#include "heatrow/record/survey_record.hpp"

#include <string>

namespace heatrow {

// Markup.
std::string placement_section(const SurveyRecord& record);

}  // namespace heatrow
