#include "heatrow/georeference/missing_positions.hpp"

#include <catch2/catch.hpp>

#include <chrono>
#include <vector>

using namespace heatrow;
using Catch::Matchers::WithinAbs;
using Eigen::Vector3d;

namespace {

UtcTime at(double seconds) {
    return UtcTime(std::chrono::milliseconds(static_cast<long long>(1000.0 * seconds)));
}

FramePrior logged(double seconds, double east, double north) {
    FramePrior prior;
    prior.time = at(seconds);
    prior.pose = FramePose{Vector3d(east, north, 30.0), Radians(0.0), Radians(0.0), Radians(0.0)};
    return prior;
}

}  // namespace

TEST_CASE("missing positions: along the line between neighbours, surest where the flight keeps its speed",
          "[georeference]") {
    const std::vector<FramePrior> straight{logged(0, 0, 0), logged(1, 3, 0), logged(3, 9, 0), logged(4, 12, 0)};
    const auto even = position_at(straight, at(2.0));
    REQUIRE(even);
    CHECK_THAT(even->position_in_site.x(), WithinAbs(6.0, 1e-9));
    CHECK_THAT(even->position_in_site.z(), WithinAbs(30.0, 1e-9));
    CHECK_THAT(even->u_m, WithinAbs(0.5 * 0.3 * 1.0 * 1.0, 1e-9));
    // Turning from one lane into the next: the speed changes by 3 + 3 m/s over two seconds.
    const std::vector<FramePrior> turning{logged(0, 0, 0), logged(1, 3, 0), logged(3, 3, 0), logged(4, 0, 0)};
    const auto open = position_at(turning, at(2.0));
    REQUIRE(open);
    CHECK_THAT(open->u_m, WithinAbs(0.5 * 3.0 * 1.0 * 1.0, 1e-9));
}

TEST_CASE("missing positions: a row without a pose is passed over, long gaps stay open", "[georeference]") {
    std::vector<FramePrior> priors{logged(0, 0, 0), logged(1, 3, 0), logged(14, 9, 0), logged(15, 12, 0)};
    CHECK_FALSE(position_at(priors, at(7.0)));
    FramePrior lost;
    lost.time = at(2.0);
    priors.push_back(lost);
    CHECK_FALSE(position_at(priors, at(7.0)));
    CHECK_FALSE(position_at({}, at(0.0)));
}

TEST_CASE("missing positions: the first and last frames go on as their neighbours flew, for two seconds",
          "[georeference]") {
    const std::vector<FramePrior> priors{logged(1, 3, 0), logged(2, 6, 0)};
    const auto first = position_at(priors, at(0.0));
    REQUIRE(first);
    CHECK_THAT(first->position_in_site.x(), WithinAbs(0.0, 1e-9));
    CHECK_THAT(first->u_m, WithinAbs(0.5, 1e-9));
    const auto last = position_at(priors, at(3.5));
    REQUIRE(last);
    CHECK_THAT(last->position_in_site.x(), WithinAbs(10.5, 1e-9));
    CHECK_FALSE(position_at(priors, at(4.5)));
    CHECK_FALSE(position_at(std::vector<FramePrior>{logged(1, 3, 0)}, at(0.0)));  // no speed is known
}
