#include "heatrow/georeference/flight_alignment.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace heatrow {

namespace {

// Frames at which the flight turns by more than 45 deg: ends of lanes. Positions in `with_pose`.
std::vector<std::size_t> lane_ends(std::span<const FramePrior> priors, const std::vector<int>& with_pose) {
    const auto place = [&](std::size_t i) -> Eigen::Vector2d {
        return priors[static_cast<std::size_t>(with_pose[i])].pose->position_in_site.head<2>();
    };
    const double cos_turn = std::cos(degrees(45.0).value());
    std::vector<std::size_t> ends;
    if (with_pose.empty()) {
        return ends;
    }
    ends.push_back(0);
    for (std::size_t i = 1; i + 1 < with_pose.size(); ++i) {
        const Eigen::Vector2d before = place(i) - place(i - 1);
        const Eigen::Vector2d after = place(i + 1) - place(i);
        if (before.dot(after) < cos_turn * before.norm() * after.norm()) {
            ends.push_back(i);
        }
    }
    ends.push_back(with_pose.size() - 1);
    return ends;
}

}  // namespace

std::vector<int> choose_scout_frames(std::span<const FramePrior> priors, const ScoutOptions& options) {
    std::vector<int> with_pose;
    for (std::size_t i = 0; i < priors.size(); ++i) {
        if (priors[i].pose) {
            with_pose.push_back(static_cast<int>(i));
        }
    }
    const int by_share = static_cast<int>(std::floor(options.share * static_cast<double>(with_pose.size())));
    const std::size_t wanted = std::min(
        with_pose.size(),
        static_cast<std::size_t>(std::clamp(by_share, options.at_least, std::max(options.at_least, options.at_most))));
    std::set<int> chosen;
    // Half of them at ends of lanes, evenly thinned where there are more ends; the rest spread over the flight.
    const std::vector<std::size_t> ends = lane_ends(priors, with_pose);
    const std::size_t from_ends = std::min(ends.size(), (wanted + 1) / 2);
    for (std::size_t i = 0; i < from_ends; ++i) {
        chosen.insert(with_pose[ends[i * ends.size() / from_ends]]);
    }
    // Even spreads, each finer than the one before, until there are enough.
    for (std::size_t pieces = wanted; chosen.size() < wanted; pieces *= 2) {
        for (std::size_t i = 0; i < pieces && chosen.size() < wanted; ++i) {
            chosen.insert(with_pose[std::min(with_pose.size() - 1, (2 * i + 1) * with_pose.size() / (2 * pieces))]);
        }
    }
    return {chosen.begin(), chosen.end()};
}

}  // namespace heatrow
