// Segments that hang together by all that their frames saw, not frame by frame.
#pragma once

#include "rigid_segments.hpp"

#include <vector>

namespace heatrow::detail {

// Joins the two segments whose link leads by most, the link being made anew from the barcodes of all frames of both,
// until no link leads by `options.rigid_margin`. A frame that overlaps little with each neighbour overlaps with several
// of them.
RigidSegments merge_segments(const FlightEvidence& flight,
                             RigidSegments segments,
                             const std::vector<JudgedTie>& ties,
                             const PlaceOptions& options);

}  // namespace heatrow::detail
