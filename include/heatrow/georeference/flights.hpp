// A survey's flights: stretches of the log that share their errors.
#pragma once

#include "heatrow/core/frame_prior.hpp"
#include "heatrow/core/units.hpp"

#include <Eigen/Core>

#include <optional>
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

// How a flight moved at the time of one of its frames.
struct FlightWay {
    UtcTime time{};
    Eigen::Vector2d velocity{0.0, 0.0};  // m/s, east and north
};

// From the logged positions of the frames before and after each; one that is more than five seconds away does not
// count, since the camera may have turned in between. By time; frames without either are left out.
std::vector<FlightWay> flight_ways(std::span<const FramePrior> priors);

// At a time: of the nearest frame within a second; nothing where none is.
std::optional<Eigen::Vector2d> velocity_at(const std::vector<FlightWay>& ways, UtcTime time);

}  // namespace heatrow
