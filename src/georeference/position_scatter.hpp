// How the logged positions of one flight scatter, by the frames that move as one.
#pragma once

#include "rigid_segments.hpp"

namespace heatrow::detail {

// From the changes of (logged less solved) position inside segments, over one frame and over several: robust variances,
// doubled, since a flight has few independent ones. Never wider than `stated`, nor finer than a floor; as stated where
// there are too few changes.
PositionOptions measured_positions(const FlightEvidence& flight,
                                   const RigidSegments& segments,
                                   const PositionOptions& stated);

}  // namespace heatrow::detail
