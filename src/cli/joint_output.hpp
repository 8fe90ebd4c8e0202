// What `heatrow joints` prints and writes.
#pragma once

#include "joint_survey.hpp"

#include <string>

namespace heatrow::cli {

std::string joints_as_text(const JointSurvey& survey);
std::string joints_as_json(const JointSurvey& survey);
std::string joints_as_csv(const JointSurvey& survey);

}  // namespace heatrow::cli
