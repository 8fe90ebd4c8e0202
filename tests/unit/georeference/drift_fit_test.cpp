#include "drift_fit.hpp"

#include <Eigen/LU>
#include <catch2/catch.hpp>

#include <cmath>
#include <random>

using namespace heatrow::detail;
using Catch::Matchers::WithinAbs;
using Eigen::Vector2d;

namespace {

constexpr double kScatterM = 0.1;
constexpr double kWanderM = 0.05;  // in a second

// Lanes flown north and south in turn, an observation every 3 s; `drift(t)` and the turning part (forward, right) are
// what is to be found.
template <class Drift>
std::vector<DriftObservation> fly(int count, Drift drift, const Vector2d& turning, double scatter_m = 0.02) {
    std::mt19937_64 engine(5);
    std::normal_distribution<double> normal(0.0, scatter_m);
    std::vector<DriftObservation> observations;
    for (int i = 0; i < count; ++i) {
        DriftObservation one;
        one.time_s = 3.0 * i;
        one.forward = (i / 6) % 2 == 0 ? Vector2d(0.0, 1.0) : Vector2d(0.0, -1.0);
        const Vector2d right(one.forward.y(), -one.forward.x());
        one.displacement = drift(one.time_s) + turning.x() * one.forward + turning.y() * right +
                           Vector2d(normal(engine), normal(engine));
        observations.push_back(one);
    }
    return observations;
}

}  // namespace

TEST_CASE("drift fit: what turns with the camera is told from what stands still", "[georeference]") {
    const auto steady = [](double) { return Vector2d(1.2, -0.7); };
    const Vector2d turning(0.3, -0.2);
    const DriftFit fit = fit_drift(fly(48, steady, turning), kScatterM, kWanderM, Vector2d::Zero());
    CHECK_THAT((fit.turning - turning).norm(), WithinAbs(0.0, 0.04));
    REQUIRE(fit.drift.size() == 48);
    for (const Vector2d& drift : fit.drift) {
        CHECK_THAT((drift - steady(0.0)).norm(), WithinAbs(0.0, 0.1));
    }
}

TEST_CASE("drift fit: without a turn of the camera the turning part stays where it was", "[georeference]") {
    std::vector<DriftObservation> north = fly(
        6, [](double) { return Vector2d(2.0, 0.0); }, Vector2d::Zero(), 0.0);
    const Vector2d before(0.15, 0.05);
    const DriftFit fit = fit_drift(north, kScatterM, kWanderM, before);
    // Where both would explain it, each gets its share of what is not expected: 6 frames of 6 m against 0.4 m.
    const double share = 0.4 * 0.4 / (0.4 * 0.4 + 6.0 * 6.0 / 6.0);
    CHECK_THAT(fit.turning.x(), WithinAbs(before.x() * (1.0 - share), 0.003));
    CHECK_THAT(fit.turning.y(), WithinAbs(before.y() + share * (2.0 - before.y()), 0.003));
    CHECK_THAT((fit.drift[3] + fit.turning.y() * Vector2d(1.0, 0.0) + fit.turning.x() * Vector2d(0.0, 1.0) -
                Vector2d(2.0, 0.0))
                   .norm(),
               WithinAbs(0.0, 0.02));
}

TEST_CASE("drift fit: a wandering bias is followed as fast as it may wander", "[georeference]") {
    const auto wandering = [](double t) { return Vector2d(0.05 * t, std::sin(t / 20.0)); };
    const auto observations = fly(40, wandering, Vector2d::Zero());
    const DriftFit free = fit_drift(observations, kScatterM, 0.1, Vector2d::Zero());
    const DriftFit stiff = fit_drift(observations, kScatterM, 1e-4, Vector2d::Zero());
    double worst_free = 0.0;
    double worst_stiff = 0.0;
    for (std::size_t i = 0; i < observations.size(); ++i) {
        const Vector2d truth = wandering(observations[i].time_s);
        worst_free = std::max(worst_free, (free.drift[i] - truth).norm());
        worst_stiff = std::max(worst_stiff, (stiff.drift[i] - truth).norm());
    }
    CHECK(worst_free < 0.25);
    CHECK(worst_stiff > 1.0);
}

TEST_CASE("drift fit: a frame locked one module off moves nothing", "[georeference]") {
    const auto steady = [](double) { return Vector2d(0.5, 0.5); };
    auto observations = fly(24, steady, Vector2d::Zero());
    const DriftFit clean = fit_drift(observations, kScatterM, kWanderM, Vector2d::Zero());
    observations[11].displacement.x() += 1.0;
    const DriftFit spoiled = fit_drift(observations, kScatterM, kWanderM, Vector2d::Zero());
    for (std::size_t i = 0; i < observations.size(); ++i) {
        CHECK_THAT((spoiled.drift[i] - clean.drift[i]).norm(), WithinAbs(0.0, 0.03));
    }
}

TEST_CASE("drift fit: the covariance knows how many frames speak, and how they scatter", "[georeference]") {
    const auto steady = [](double) { return Vector2d(0.5, 0.5); };
    const DriftFit one = fit_drift(fly(1, steady, Vector2d::Zero(), 0.0), kScatterM, kWanderM, Vector2d::Zero());
    const DriftFit many = fit_drift(fly(40, steady, Vector2d::Zero(), 0.0), kScatterM, kWanderM, Vector2d::Zero());
    // One frame: its own scatter, less what the prior of 6 m knows.
    CHECK_THAT(std::sqrt(one.covariance[0](0, 0)), WithinAbs(kScatterM, 0.005));
    CHECK(many.covariance[20](0, 0) < one.covariance[0](0, 0));
    // Frames that scatter by more than stated say so.
    const DriftFit loose = fit_drift(fly(40, steady, Vector2d::Zero(), 0.4), kScatterM, 1e-3, Vector2d::Zero());
    CHECK(loose.covariance[20](0, 0) > 0.3 * 0.3 - kScatterM * kScatterM);
    for (const auto& covariance : loose.covariance) {
        CHECK(covariance.determinant() > 0.0);
    }
}
