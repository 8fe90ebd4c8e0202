// What the sampling of cells goes by in a survey and in one of its frames.
#pragma once

#include "heatrow/segment/sample.hpp"
#include "read_frame.hpp"
#include "survey_inputs.hpp"

#include <cstddef>

namespace heatrow {

SampleOptions sample_options(const SurveyInputs& inputs);

// Without the end of the camera's range, which pixels show.
FrameCircumstances circumstances_of(const SurveyInputs& inputs, std::size_t frame);
// With it.
FrameCircumstances circumstances_of(const SurveyInputs& inputs, std::size_t frame, const AcceptedFrame& read);

}  // namespace heatrow
