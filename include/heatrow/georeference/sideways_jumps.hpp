// A whole flight placed frame by frame must not leap from one row to the next: a receiver's error drifts, it does not
// jump by metres across the lanes within seconds.
#pragma once

#include <Eigen/Core>

#include <span>
#include <vector>

namespace heatrow {

struct FlownFrame {
    double time_s = 0.0;
    Eigen::Vector2d logged{0.0, 0.0};  // east, north, m
    Eigen::Vector2d found{0.0, 0.0};
};

struct SidewaysJump {
    std::size_t before = 0;  // place in the frames given
    std::size_t after = 0;
    double metres = 0.0;               // across the lanes
    Eigen::Vector2d change{0.0, 0.0};  // of what is found against the log, across the lanes, m
};

struct JumpCheck {
    std::vector<SidewaysJump> jumps;
    std::vector<bool> doubtful;  // one a frame: it may lie in another row
};

// Frames of one flight in the order of time. What is found against the log may change along the lanes at a turn (a late
// clock, a lag of the position); across them it may not change by more than kFarthestJump_m (own choice, below half of
// any row spacing) between frames closer in time than kLongestPause_s. Where it does, one side lies in a wrong row: the
// frames of the smaller side are doubtful if the other holds most of the flight, else all are.
inline constexpr double kFarthestJump_m = 2.0;
inline constexpr double kLongestPause_s = 15.0;
JumpCheck find_sideways_jumps(std::span<const FlownFrame> frames);

}  // namespace heatrow
