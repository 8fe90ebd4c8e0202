// All that a survey's log and stated lens are wrong by, before its frames are placed.
#pragma once

#include "scout_flights.hpp"

namespace heatrow {

// Scouts the flights. Where the camera is to be refined, the lens is solved over their scout frames, taken into
// `inputs` and the flights are scouted again with it. What a reader should know of lens and clocks is added to the
// notes of `inputs`. `site` is of the layout of `inputs`.
SurveyAlignment align_survey(
    SurveyInputs& inputs, const LayoutIndex& site, int threads, const Progress& progress, SlotCache& cache);

}  // namespace heatrow
