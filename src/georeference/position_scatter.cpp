#include "position_scatter.hpp"

#include "heatrow/core/median.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace heatrow::detail {

namespace {

// Own choices.
constexpr std::size_t kLeastChanges = 30;
constexpr int kSeveral = 8;          // frames apart
constexpr double kSafety = 2.0;      // of variances
constexpr double kLeastNoise = 0.1;  // m: what turns with the camera is not seen along a lane
constexpr double kLeastWalk = 0.05;  // m/s^0.5

struct Changes {
    double variance_m2 = kNaN;  // robust, of one axis
    double seconds = kNaN;      // median
};

Changes changes_over(const FlightEvidence& flight, const RigidSegments& segments, std::size_t frames) {
    std::vector<double> sizes;
    std::vector<double> seconds;
    for (std::size_t i = frames; i < flight.frames.size(); ++i) {
        const FrameEvidence& first = flight.frames[i - frames];
        const FrameEvidence& second = flight.frames[i];
        const LatticeOffset offset = segments.to_reference[i] - segments.to_reference[i - frames];
        const Eigen::Vector2d change =
            second.deviation_m - first.deviation_m -
            Eigen::Vector2d(offset.along * flight.pitch_along_m, offset.across * flight.pitch_across_m);
        const bool is_logged = first.deviation_u_m == 0.0 && second.deviation_u_m == 0.0 && change.allFinite();
        if (segments.segment_of[i] != segments.segment_of[i - frames] || !is_logged) {
            continue;
        }
        sizes.push_back(std::abs(change.x()));
        if (flight.pitch_across_m > 0.0) {
            sizes.push_back(std::abs(change.y()));
        }
        seconds.push_back(second.time_s - first.time_s);
    }
    if (seconds.size() < kLeastChanges) {
        return {};
    }
    const double sd = kSigmaOverMad * take_median(sizes);
    return {sd * sd, take_median(seconds)};
}

}  // namespace

PositionOptions measured_positions(const FlightEvidence& flight,
                                   const RigidSegments& segments,
                                   const PositionOptions& stated) {
    const Changes near = changes_over(flight, segments, 1);
    const Changes far = changes_over(flight, segments, kSeveral);
    PositionOptions positions = stated;
    if (std::isnan(near.variance_m2) || !(far.seconds > 0.0)) {
        return positions;
    }
    // What is noise and what is wandering cannot be told apart in one flight: each is given the whole.
    positions.fix_noise_m =
        std::clamp(std::sqrt(kSafety * near.variance_m2 / 2.0), kLeastNoise, std::max(kLeastNoise, stated.fix_noise_m));
    positions.walk_m_per_sqrt_s = std::clamp(
        std::sqrt(kSafety * far.variance_m2 / far.seconds), kLeastWalk, std::max(kLeastWalk, stated.walk_m_per_sqrt_s));
    return positions;
}

}  // namespace heatrow::detail
