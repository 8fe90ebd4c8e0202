// Pass 1: each frame alone, once: read, place, sample, convert. Pixels are let go at the end of each frame.
#pragma once

#include "heatrow/core/rejection.hpp"
#include "heatrow/core/slot_record.hpp"
#include "heatrow/fuse/fuse.hpp"
#include "heatrow/georeference/naming.hpp"
#include "heatrow/pipeline/progress.hpp"
#include "heatrow/radiometry/measurement.hpp"
#include "heatrow/segment/band_spread.hpp"
#include "heatrow/site/layout_index.hpp"
#include "scout_flights.hpp"
#include "slot_cache.hpp"
#include "survey_inputs.hpp"
#include "view_store.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace heatrow {

// What became of one frame: `rejection`, or a record with its views.
struct FrameOutcome {
    std::optional<Rejection> rejection;
    // No slots where rejected. Of the cells of a slot only those are left that make the median of their means.
    SlotRecord record;
    std::vector<StoredView> views;                  // temperatures of each slot of `record`, in its order
    std::vector<ObjectConditions> view_conditions;  // under which they were computed
    FrameSpread spread;                             // of the bands between modules
    double unlogged_smear_px2 = 0.0;                // square of the motion that the log does not tell (frame_smear.hpp)
    std::uint64_t bytes = 0;                        // of the file; 0 where it could not be read
    std::string sha256;
};

// One outcome per frame, in frame order; of frames with the same bytes the first is kept. Frames whose records the
// cache has are not looked at.
std::vector<FrameOutcome> run_frame_pass(const SurveyInputs& inputs,
                                         const LayoutIndex& site,
                                         const SurveyAlignment& alignment,
                                         int threads,
                                         const Progress& progress,
                                         SlotCache& cache);

// Frames that the flight's decision puts at another place of the lattice than they were locked at: decoded, locked and
// sampled again there, their offset in `names` then zero. One that does not lock there is rejected. Returns how many.
int move_frames(const SurveyInputs& inputs,
                const LayoutIndex& site,
                std::vector<FrameName>& names,
                int threads,
                const Progress& progress,
                SlotCache& cache,
                std::vector<FrameOutcome>& outcomes);

}  // namespace heatrow
