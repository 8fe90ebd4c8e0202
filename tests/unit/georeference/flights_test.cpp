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

TEST_CASE("flights: the way from the frames about, not across a turn", "[georeference]") {
    std::vector<FramePrior> priors = frames_at({0, 2, 4, 16, 18, 40});
    const double east[] = {0.0, 6.0, 12.0, 12.0, 6.0, 0.0};
    for (std::size_t i = 0; i < priors.size(); ++i) {
        priors[i].pose = FramePose{{east[i], 0.0, 30.0}, {}, {}, {}};
    }
    const std::vector<FlightWay> ways = flight_ways(priors);
    REQUIRE(ways.size() == 5);  // the last frame is alone
    for (int i = 0; i < 3; ++i) {
        CHECK(ways[static_cast<std::size_t>(i)].velocity.x() == 3.0);
    }
    CHECK(ways[3].velocity.x() == -3.0);
    CHECK(ways[4].velocity.x() == -3.0);
    REQUIRE(velocity_at(ways, UtcTime(std::chrono::milliseconds(16400))));
    CHECK(velocity_at(ways, UtcTime(std::chrono::milliseconds(16400)))->x() == -3.0);
    CHECK(velocity_at(ways, UtcTime(std::chrono::milliseconds(4900)))->x() == 3.0);
    CHECK_FALSE(velocity_at(ways, UtcTime(std::chrono::seconds(10))));
    CHECK_FALSE(velocity_at({}, UtcTime(std::chrono::seconds(10))));
    priors[1].pose.reset();
    CHECK(flight_ways(priors).size() == 4);
}
