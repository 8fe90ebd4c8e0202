// The frame camera's optics as the settings state them.
#pragma once

#include "heatrow/edges/point_spread.hpp"
#include "survey_inputs.hpp"

namespace heatrow {

Optics optics_of(const SurveyInputs& inputs);

}  // namespace heatrow
