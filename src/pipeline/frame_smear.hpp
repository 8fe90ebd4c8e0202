// Frames that are smeared although no log says so: jerks, gimbals that turn, speeds that the poses do not show.
#pragma once

#include "frame_pass.hpp"
#include "survey_inputs.hpp"

#include <vector>

namespace heatrow {

// How much wider a frame spreads the bands between modules than the sharp frames of the survey do is what the image
// moved (the variance of a first-order detector's trail is the square of the motion in a time constant). Adds to
// the smear of its slots and views what they do not state yet, and flags those above the profile's limit. Sharp: the
// lower quartile, but no wider than optics, motion by the log, the bands' own width and the cool border of the glass
// make. Returns how many frames are above it that are not by the log.
int mark_measured_smear(const SurveyInputs& inputs, std::vector<FrameOutcome>& outcomes);

}  // namespace heatrow
