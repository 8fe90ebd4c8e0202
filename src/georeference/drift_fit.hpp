// The drift of a flight's positions from frames whose place is known to centimetres.
#pragma once

#include <Eigen/Core>

#include <vector>

namespace heatrow::detail {

struct DriftObservation {
    double time_s = 0.0;
    Eigen::Vector2d forward{0.0, 1.0};       // unit, the way of the flight
    Eigen::Vector2d displacement{0.0, 0.0};  // m, of the true position from the logged one
};

struct DriftFit {
    std::vector<Eigen::Vector2d> drift;       // m, at each observation
    std::vector<Eigen::Matrix2d> covariance;  // m2, of drift and turning part together, for the observation's heading
    Eigen::Vector2d turning{0.0, 0.0};        // m, forward and to the right
    Eigen::Vector2d turning_sd{0.0, 0.0};     // m
    double scatter_m = 0.0;                   // of a displacement, on each axis
};

// Least squares with Tukey's biweight: displacement = drift(time) + turning part + scatter of `scatter_m`, the drift a
// random walk that gains `wander_m` in a second, the turning part near `turning`. At least one observation, by time.
DriftFit fit_drift(const std::vector<DriftObservation>& observations,
                   double scatter_m,
                   double wander_m,
                   const Eigen::Vector2d& turning);

}  // namespace heatrow::detail
