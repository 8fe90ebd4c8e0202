// Pass 1: each frame alone, once: read, place, sample, convert. Pixels are let go at the end of each frame.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/core/rejection.hpp"
#include "heatrow/core/slot_record.hpp"
#include "heatrow/fuse/fuse.hpp"
#include "heatrow/georeference/flight_alignment.hpp"
#include "heatrow/georeference/naming.hpp"
#include "heatrow/pipeline/progress.hpp"
#include "heatrow/radiometry/measurement.hpp"
#include "heatrow/site/layout_index.hpp"
#include "survey_inputs.hpp"

#include <tl/expected.hpp>

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace heatrow {

// A frame as every stage takes it.
struct AcceptedFrame {
    Image<float> counts;             // less the camera's flat field
    std::optional<float> range_end;  // count at the end of the camera's range
};
// Reads a frame by its place in the run, decodes it and holds it against what survey.toml says of camera and encoding.
tl::expected<AcceptedFrame, Rejection> read_accepted(const SurveyInputs& inputs, std::size_t frame);

// What became of one frame: `rejection`, or a record with its views.
struct FrameOutcome {
    std::optional<Rejection> rejection;
    SlotRecord record;                              // no slots where rejected
    std::vector<ModuleView> views;                  // temperatures of each slot of `record`, in its order
    std::vector<ObjectConditions> view_conditions;  // under which they were computed
    std::uint64_t bytes = 0;                        // of the file; 0 where it could not be read
    std::string sha256;
};

// What each flight's log is wrong by.
struct SurveyAlignment {
    std::vector<FlightAlignment> flights;
    std::vector<int> flight_of_frame;

    [[nodiscard]] const FlightAlignment& of(std::size_t frame) const {
        return flights[static_cast<std::size_t>(flight_of_frame[frame])];
    }
};

// Flight by flight, from a few frames that are decoded for this alone; where corner points place the frames, the
// alignment that says so.
SurveyAlignment scout_flights(const SurveyInputs& inputs,
                              const LayoutIndex& site,
                              int threads,
                              const Progress& progress);

// One outcome per frame, in frame order; of frames with the same bytes the first is kept.
std::vector<FrameOutcome> run_frame_pass(const SurveyInputs& inputs,
                                         const LayoutIndex& site,
                                         const SurveyAlignment& alignment,
                                         int threads,
                                         const Progress& progress);

// Frames that the flight's decision puts at another place of the lattice than they were locked at: decoded, locked and
// sampled again there, their offset in `names` then zero. One that does not lock there is rejected. Returns how many.
int move_frames(const SurveyInputs& inputs,
                const LayoutIndex& site,
                std::vector<FrameName>& names,
                int threads,
                const Progress& progress,
                std::vector<FrameOutcome>& outcomes);

}  // namespace heatrow
