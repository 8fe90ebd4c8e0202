#include "drift_fit.hpp"

#include "heatrow/core/median.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>

namespace heatrow::detail {

namespace {

using Eigen::Matrix2d;
using Eigen::MatrixXd;
using Eigen::Vector2d;
using Eigen::VectorXd;

constexpr double kTurningSd = 0.4;      // m, about the start (own choice: a boresight of 0.8 deg at 30 m)
constexpr double kDriftSd = 6.0;        // m
constexpr double kLeastStep = 0.003;    // m: two frames never have quite the same drift
constexpr double kRobustLimit = 4.685;  // Tukey's biweight, 95 % efficient on a normal distribution

// Columns: forward, to the right.
Matrix2d axes(const Vector2d& forward) {
    Matrix2d m;
    m.col(0) = forward;
    m.col(1) = Vector2d(forward.y(), -forward.x());
    return m;
}

}  // namespace

DriftFit fit_drift(const std::vector<DriftObservation>& observations,
                   double scatter_m,
                   double wander_m,
                   const Vector2d& turning) {
    const Eigen::Index count = static_cast<Eigen::Index>(observations.size());
    const Eigen::Index size = 2 * count + 2;
    MatrixXd prior = MatrixXd::Zero(size, size);
    VectorXd prior_side = VectorXd::Zero(size);
    for (Eigen::Index i = 0; i < count; ++i) {
        prior.block<2, 2>(2 * i, 2 * i).diagonal().array() += 1.0 / (kDriftSd * kDriftSd);
        if (i > 0) {
            const double elapsed = std::max(0.0,
                                            observations[static_cast<std::size_t>(i)].time_s -
                                                observations[static_cast<std::size_t>(i) - 1].time_s);
            const double stiffness = 1.0 / (wander_m * wander_m * elapsed + kLeastStep * kLeastStep);
            for (Eigen::Index axis = 0; axis < 2; ++axis) {
                const Eigen::Index here = 2 * i + axis;
                prior(here, here) += stiffness;
                prior(here - 2, here - 2) += stiffness;
                prior(here, here - 2) -= stiffness;
                prior(here - 2, here) -= stiffness;
            }
        }
    }
    prior.bottomRightCorner<2, 2>().diagonal().array() += 1.0 / (kTurningSd * kTurningSd);
    prior_side.tail<2>() = turning / (kTurningSd * kTurningSd);

    std::vector<double> weights(observations.size(), 1.0);
    VectorXd solution;
    MatrixXd covariance;
    double scatter = scatter_m;
    constexpr int kRounds = 6;
    for (int round = 0; round < kRounds; ++round) {
        MatrixXd normal = prior;
        VectorXd right_side = prior_side;
        for (Eigen::Index i = 0; i < count; ++i) {
            const DriftObservation& one = observations[static_cast<std::size_t>(i)];
            const double weight = weights[static_cast<std::size_t>(i)] / (scatter * scatter);
            const Matrix2d turn = axes(one.forward);
            normal.block<2, 2>(2 * i, 2 * i) += weight * Matrix2d::Identity();
            normal.block<2, 2>(2 * i, 2 * count) += weight * turn;
            normal.block<2, 2>(2 * count, 2 * i) += weight * turn.transpose();
            normal.bottomRightCorner<2, 2>() += weight * Matrix2d::Identity();
            right_side.segment<2>(2 * i) += weight * one.displacement;
            right_side.tail<2>() += weight * turn.transpose() * one.displacement;
        }
        const Eigen::LDLT<MatrixXd> solver(normal);
        solution = solver.solve(right_side);
        if (round + 1 == kRounds) {
            covariance = solver.solve(MatrixXd::Identity(size, size));
            break;
        }
        std::vector<double> off;
        for (Eigen::Index i = 0; i < count; ++i) {
            const DriftObservation& one = observations[static_cast<std::size_t>(i)];
            off.push_back(
                (one.displacement - solution.segment<2>(2 * i) - axes(one.forward) * solution.tail<2>()).norm());
        }
        // Median of the length of a normal 2-vector: 1.1774 standard deviations.
        scatter = std::max(scatter_m, median_of(off) / 1.1774);
        for (std::size_t i = 0; i < off.size(); ++i) {
            const double share = off[i] / (scatter * kRobustLimit);
            weights[i] = share < 1.0 ? (1.0 - share * share) * (1.0 - share * share) : 0.0;
        }
    }
    DriftFit fit;
    fit.turning = solution.tail<2>();
    fit.turning_sd = covariance.bottomRightCorner<2, 2>().diagonal().cwiseSqrt();
    fit.scatter_m = scatter;
    for (Eigen::Index i = 0; i < count; ++i) {
        fit.drift.emplace_back(solution.segment<2>(2 * i));
        const Matrix2d turn = axes(observations[static_cast<std::size_t>(i)].forward);
        const Matrix2d mixed = covariance.block<2, 2>(2 * i, 2 * count) * turn.transpose();
        fit.covariance.emplace_back(covariance.block<2, 2>(2 * i, 2 * i) + mixed + mixed.transpose() +
                                    turn * covariance.bottomRightCorner<2, 2>() * turn.transpose() +
                                    Matrix2d::Identity() * (scatter * scatter - scatter_m * scatter_m));
    }
    return fit;
}

}  // namespace heatrow::detail
