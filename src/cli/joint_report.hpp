// The page of `joints`, filled from a judged list.
#pragma once

#include "joint_survey.hpp"

#include <string>

namespace heatrow::cli {

std::string joints_as_html(const JointSurvey& survey);

}  // namespace heatrow::cli
