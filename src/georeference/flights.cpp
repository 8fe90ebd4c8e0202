#include "heatrow/georeference/flights.hpp"

#include <algorithm>
#include <chrono>
#include <numeric>

namespace heatrow {

std::vector<int> split_flights(std::span<const FramePrior> priors, const FlightSplitOptions& options) {
    std::vector<std::size_t> by_time(priors.size());
    std::iota(by_time.begin(), by_time.end(), std::size_t{0});
    std::stable_sort(
        by_time.begin(), by_time.end(), [&](std::size_t a, std::size_t b) { return priors[a].time < priors[b].time; });
    // Stretches between pauses, as places in by_time where they begin.
    std::vector<std::size_t> begins;
    for (std::size_t i = 0; i < by_time.size(); ++i) {
        const bool after_pause =
            i == 0 || std::chrono::duration<double>(priors[by_time[i]].time - priors[by_time[i - 1]].time).count() >
                          options.pause.value();
        if (after_pause) {
            begins.push_back(i);
        }
    }
    const auto length = [&](std::size_t k) {
        return (k + 1 < begins.size() ? begins[k + 1] : by_time.size()) - begins[k];
    };
    for (std::size_t k = 0; k < begins.size() && begins.size() > 1;) {
        if (length(k) >= static_cast<std::size_t>(options.fewest_frames)) {
            ++k;
        } else {
            // Without its beginning it belongs to the one before; the first takes in the next.
            begins.erase(begins.begin() + static_cast<std::ptrdiff_t>(k == 0 ? 1 : k));
        }
    }
    std::vector<int> flights(priors.size(), 0);
    for (std::size_t k = 0; k < begins.size(); ++k) {
        for (std::size_t i = begins[k]; i < begins[k] + length(k); ++i) {
            flights[by_time[i]] = static_cast<int>(k);
        }
    }
    return flights;
}

std::vector<FlightWay> flight_ways(std::span<const FramePrior> priors) {
    std::vector<const FramePrior*> by_time;
    for (const FramePrior& prior : priors) {
        if (prior.pose) {
            by_time.push_back(&prior);
        }
    }
    std::stable_sort(by_time.begin(), by_time.end(), [](const auto* a, const auto* b) { return a->time < b->time; });
    constexpr std::chrono::seconds kLongestPause{5};
    std::vector<FlightWay> ways;
    for (std::size_t i = 0; i < by_time.size(); ++i) {
        const FramePrior* before = by_time[i > 0 ? i - 1 : i];
        const FramePrior* after = by_time[i + 1 < by_time.size() ? i + 1 : i];
        before = by_time[i]->time - before->time <= kLongestPause ? before : by_time[i];
        after = after->time - by_time[i]->time <= kLongestPause ? after : by_time[i];
        const std::chrono::duration<double> elapsed = after->time - before->time;
        if (elapsed.count() > 0.0) {
            const Eigen::Vector3d moved = after->pose->position_in_site - before->pose->position_in_site;
            ways.push_back({by_time[i]->time, moved.head<2>() / elapsed.count()});
        }
    }
    return ways;
}

std::optional<Eigen::Vector2d> velocity_at(const std::vector<FlightWay>& ways, UtcTime time) {
    const auto later =
        std::lower_bound(ways.begin(), ways.end(), time, [](const FlightWay& way, UtcTime t) { return way.time < t; });
    const FlightWay* nearest = nullptr;
    for (const auto way : {later, later == ways.begin() ? later : std::prev(later)}) {
        if (way != ways.end() &&
            (nearest == nullptr || std::chrono::abs(way->time - time) < std::chrono::abs(nearest->time - time))) {
            nearest = &*way;
        }
    }
    if (nearest == nullptr || std::chrono::abs(nearest->time - time) > std::chrono::seconds(1)) {
        return std::nullopt;
    }
    return nearest->velocity;
}

}  // namespace heatrow
