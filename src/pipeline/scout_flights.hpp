// What each flight's log is wrong by, from a few frames that are decoded for this alone.
#pragma once

#include "heatrow/georeference/flight_alignment.hpp"
#include "heatrow/pipeline/progress.hpp"
#include "heatrow/site/layout_index.hpp"
#include "slot_cache.hpp"
#include "survey_inputs.hpp"

#include <vector>

namespace heatrow {

struct SurveyAlignment {
    std::vector<FlightAlignment> flights;
    std::vector<int> flight_of_frame;

    [[nodiscard]] const FlightAlignment& of(std::size_t frame) const {
        return flights[static_cast<std::size_t>(flight_of_frame[frame])];
    }
};

// Flight by flight; where corner points place the frames, the alignment that says so. A flight whose scout frames are
// those of a kept alignment is not scouted again.
SurveyAlignment scout_flights(
    const SurveyInputs& inputs, const LayoutIndex& site, int threads, const Progress& progress, SlotCache& cache);

}  // namespace heatrow
