#include "heatrow/georeference/flights.hpp"

#include <catch2/catch.hpp>

#include <chrono>

using namespace heatrow;

namespace {

// Frames at these times, s.
std::vector<FramePrior> frames_at(const std::vector<int>& seconds) {
    std::vector<FramePrior> priors;
    for (const int s : seconds) {
        FramePrior prior;
        prior.frame = static_cast<int>(priors.size());
        prior.time = UtcTime(std::chrono::seconds(s));
        priors.push_back(prior);
    }
    return priors;
}

}  // namespace

TEST_CASE("flights: a long pause begins a new one, whatever the order of names", "[georeference]") {
    FlightSplitOptions options;
    options.fewest_frames = 2;
    CHECK(split_flights(frames_at({0, 2, 40, 42, 500, 502}), options) == std::vector{0, 0, 0, 0, 1, 1});
    CHECK(split_flights(frames_at({500, 0, 502, 2}), options) == std::vector{1, 0, 1, 0});
}

TEST_CASE("flights: a few stray frames do not make one", "[georeference]") {
    FlightSplitOptions options;
    options.fewest_frames = 3;
    CHECK(split_flights(frames_at({0, 300, 302, 304, 900, 1200, 1202, 1204, 1206}), options) ==
          std::vector{0, 0, 0, 0, 0, 1, 1, 1, 1});
    CHECK(split_flights(frames_at({0, 300}), options) == std::vector{0, 0});
    CHECK(split_flights({}, options).empty());
}
