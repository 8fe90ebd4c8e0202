// Which modules the locked frames saw: decided for the whole flight, without pixels.
#pragma once

#include "heatrow/core/placed_view.hpp"
#include "heatrow/core/slot_record.hpp"
#include "heatrow/georeference/flight_alignment.hpp"

#include <span>
#include <vector>

namespace heatrow {

struct NamingOptions {
    // Least margin, in natural log units, at which a slot gets its name. 3 leaves one in twenty to chance.
    double threshold = 3.0;
};

// First form: a slot's name follows from the flight's alignment; its margin is the smaller of the flight's and of the
// frame's own against a slip by one module. Below the threshold the slot is `ambiguous`. Frames placed by corner points
// have an infinite margin of their own; give them an alignment of infinite margin too (see fixed_by_points).
// Views in the order of the records, then of their slots.
std::vector<PlacedView> name_views(std::span<const SlotRecord> records,
                                   const FlightAlignment& alignment,
                                   const NamingOptions& options = {});

// The alignment of frames whose place is given by corner points.
FlightAlignment fixed_by_points();

}  // namespace heatrow
