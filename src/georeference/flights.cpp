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

}  // namespace heatrow
