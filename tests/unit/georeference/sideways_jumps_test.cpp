#include "heatrow/georeference/sideways_jumps.hpp"

#include <catch2/catch.hpp>

#include <algorithm>

using namespace heatrow;
using Eigen::Vector2d;

namespace {

// Two lanes to the east and back, 30 frames, 1.5 s apart; found 3 m north of the log, drifting.
std::vector<FlownFrame> flight() {
    std::vector<FlownFrame> frames;
    for (int i = 0; i < 30; ++i) {
        const bool back = i >= 15;
        const Vector2d logged(3.0 * (back ? 29 - i : i), back ? 10.0 : 0.0);
        frames.push_back({1.5 * i, logged, logged + Vector2d(0.5, 3.0 + 0.02 * i)});
    }
    return frames;
}

std::ptrdiff_t doubtful(const std::vector<FlownFrame>& frames) {
    const JumpCheck check = find_sideways_jumps(frames);
    return std::count(check.doubtful.begin(), check.doubtful.end(), true);
}

}  // namespace

TEST_CASE("sideways jumps: a drift and a lag that turns with the lane are none") {
    std::vector<FlownFrame> frames = flight();
    CHECK(doubtful(frames) == 0);
    for (std::size_t i = 15; i < frames.size(); ++i) {
        frames[i].found.x() -= 6.0;  // a clock 3 s late at 1 m/s, forth and back
    }
    CHECK(doubtful(frames) == 0);
    CHECK(find_sideways_jumps({}).jumps.empty());
}

TEST_CASE("sideways jumps: half a flight in another row leaves nothing certain") {
    std::vector<FlownFrame> frames = flight();
    for (std::size_t i = 15; i < frames.size(); ++i) {
        frames[i].found.y() += 5.6;
    }
    const JumpCheck check = find_sideways_jumps(frames);
    REQUIRE(check.jumps.size() == 1);
    CHECK(check.jumps[0].before == 14);
    CHECK(check.jumps[0].metres == Approx(5.62));
    CHECK(doubtful(frames) == 30);
}

TEST_CASE("sideways jumps: a few frames in another row are doubtful alone") {
    std::vector<FlownFrame> frames = flight();
    frames[7].found.y() -= 5.6;
    frames[8].found.y() -= 5.6;
    const JumpCheck check = find_sideways_jumps(frames);
    CHECK(check.jumps.size() == 2);
    CHECK(doubtful(frames) == 2);
    CHECK(check.doubtful[7]);
}

TEST_CASE("sideways jumps: a pause may change what a receiver says") {
    std::vector<FlownFrame> frames = flight();
    for (std::size_t i = 15; i < frames.size(); ++i) {
        frames[i].found.y() += 5.6;
        frames[i].time_s += 60.0;
    }
    CHECK(doubtful(frames) == 0);
}
