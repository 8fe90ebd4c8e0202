// A survey's flights: stretches of the log that share their errors.
#pragma once

#include "heatrow/core/frame_prior.hpp"
#include "heatrow/core/units.hpp"

#include <span>
#include <vector>

namespace heatrow {

struct FlightSplitOptions {
    // Own choices: turns and short waits stay below, a change of battery takes longer.
    Seconds pause{90.0};
    int fewest_frames = 5;  // shorter stretches belong to the one before them (the first to the one after)
};

// Number of the flight that each frame belongs to, from 0 in the order of time. Receivers start anew after a landing,
// so bias and height of two flights have nothing in common.
std::vector<int> split_flights(std::span<const FramePrior> priors, const FlightSplitOptions& options = {});

}  // namespace heatrow
