// Where a flight's logged positions lie against the truth, as it drifts, from what single frames say.
#pragma once

#include "heatrow/core/for_each.hpp"

#include <Eigen/Core>

#include <vector>

namespace heatrow::detail {

// Value between the centres of cells; places outside have the value of the border.
double interpolated(const Eigen::ArrayXXf& values, const Eigen::Vector2d& at);

// The part of a displacement that turns with the camera (forward, to the right), to the east and north.
Eigen::Vector2d turned(const Eigen::Vector2d& forward, const Eigen::Vector2d& turning);

// Displacements to the east (first index) and north, from -half to +half steps.
struct DisplacementGrid {
    double step_m = 0.25;
    int half = 0;

    [[nodiscard]] Eigen::Index size() const { return 2 * half + 1; }
    [[nodiscard]] Eigen::Vector2d at(Eigen::Index east, Eigen::Index north) const {
        return step_m * Eigen::Vector2d(static_cast<double>(east) - half, static_cast<double>(north) - half);
    }
};

// One frame's vote for each displacement, natural log.
struct DisplacementVotes {
    double time_s = 0.0;
    Eigen::Vector2d forward{0.0, 1.0};  // unit, the way of the flight
    Eigen::ArrayXXf votes;
};

struct DisplacementTrack {
    struct Frame {
        Eigen::Vector2d mean{0.0, 0.0};  // m, of the whole displacement
        Eigen::Matrix2d covariance = Eigen::Matrix2d::Zero();
        // Natural log of how much more probable the neighbourhood of the mean is than everything further off.
        double margin = 0.0;
    };
    std::vector<Frame> frames;          // as the votes
    Eigen::Vector2d turning{0.0, 0.0};  // m, of the part that turns with the camera: forward, to the right
    double wander_m = 0.0;              // standard deviation that the drift gains in a second, m
};

// displacement = drift(time) + the part that turns with the camera (boresight, lever arm, a lag of the positions along
// lanes flown to and fro). The drift is a random walk: forward-backward over the votes (Rabiner, "A tutorial on hidden
// Markov models", Proc. IEEE 77, 1989, section III), for each of a few rates and turning parts, weighted by how
// probable they make all votes together. Displacements within `near_m` of one another count as one placement.
// `votes` in the order of time. for_each: over turning parts; the result does not depend on it.
DisplacementTrack track_displacement(const std::vector<DisplacementVotes>& votes,
                                     const DisplacementGrid& grid,
                                     double near_m,
                                     const ForEach& for_each);

}  // namespace heatrow::detail
