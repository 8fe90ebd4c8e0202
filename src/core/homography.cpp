#include "heatrow/core/homography.hpp"

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <Eigen/SVD>

#include <cmath>
#include <cstddef>

namespace heatrow {

namespace {

using Eigen::Matrix3d;
using Eigen::Vector2d;
using Eigen::Vector3d;

// Moves the points' mean to the origin and scales their root mean square distance to it to sqrt(2).
std::optional<Matrix3d> normalising(const std::vector<Vector2d>& points) {
    Vector2d mean = Vector2d::Zero();
    for (const Vector2d& point : points) {
        mean += point;
    }
    mean /= static_cast<double>(points.size());
    double squares = 0.0;
    for (const Vector2d& point : points) {
        squares += (point - mean).squaredNorm();
    }
    const double spread = std::sqrt(squares / static_cast<double>(points.size()));
    if (!(spread > 0.0) || !std::isfinite(spread)) {
        return std::nullopt;
    }
    const double scale = std::sqrt(2.0) / spread;
    Matrix3d result = Matrix3d::Identity();
    result.topLeftCorner<2, 2>() *= scale;
    result.topRightCorner<2, 1>() = -scale * mean;
    return result;
}

}  // namespace

std::optional<Matrix3d> homography(const std::vector<Vector2d>& in_a, const std::vector<Vector2d>& in_b) {
    constexpr std::size_t kLeastPoints = 4;
    if (in_a.size() < kLeastPoints || in_a.size() != in_b.size()) {
        return std::nullopt;
    }
    const auto even_a = normalising(in_a);
    const auto even_b = normalising(in_b);
    if (!even_a || !even_b) {
        return std::nullopt;
    }
    Eigen::MatrixXd equations(2 * static_cast<Eigen::Index>(in_a.size()), 9);
    for (std::size_t i = 0; i < in_a.size(); ++i) {
        const Vector3d a = *even_a * in_a[i].homogeneous();
        const Vector3d b = *even_b * in_b[i].homogeneous();
        const Eigen::Index row = 2 * static_cast<Eigen::Index>(i);
        equations.row(row) << a.transpose(), Eigen::RowVector3d::Zero(), -b.x() * a.transpose();
        equations.row(row + 1) << Eigen::RowVector3d::Zero(), a.transpose(), -b.y() * a.transpose();
    }
    const Eigen::JacobiSVD<Eigen::MatrixXd> svd(equations, Eigen::ComputeFullV);
    constexpr double kRankDeficient = 1e-5;
    if (!(svd.singularValues()[7] > kRankDeficient * svd.singularValues()[0])) {
        return std::nullopt;
    }
    const Eigen::VectorXd h = svd.matrixV().col(8);
    Matrix3d even;
    even << h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], h[8];
    return Matrix3d(even_b->inverse() * even * *even_a);
}

}  // namespace heatrow
