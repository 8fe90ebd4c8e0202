// Outlines of a finding's parts on its module.
#pragma once

#include "heatrow/record/survey_record.hpp"

#include <Eigen/Core>

#include <vector>

namespace heatrow {

// In the plane of the module's type (m): one rectangle where the finding's cells fill one, else one a cell. Empty where
// the finding is on the whole module or on a string.
std::vector<std::vector<Eigen::Vector2d>> part_outlines(const SurveyRecord& record, const Finding& finding);

}  // namespace heatrow
