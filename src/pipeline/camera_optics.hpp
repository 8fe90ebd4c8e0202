// The frame camera's optics as the settings state them.
#pragma once

#include "heatrow/edges/point_spread.hpp"
#include "survey_inputs.hpp"

namespace heatrow {

// Of an orthomosaic with the blur of its resampling.
Optics optics_of(const SurveyInputs& inputs);

// Blur with which edges are probed, px of the frame: the stated one; 0 leaves cells plain means and is no sharp edge.
double edge_blur_px(const SurveyInputs& inputs);

}  // namespace heatrow
