#include "lattice_model.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Geometry>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

namespace heatrow::detail {

namespace {

using Eigen::Matrix3d;
using Eigen::Vector2d;
using Eigen::Vector3d;

// Parameters: eight of the homography about its present value, two insets, one radial term.
constexpr Eigen::Index kParameters = 11;
constexpr Eigen::Index kFirstInset = 8;
constexpr Eigen::Index kRadial = 10;

// The lattice's own map is changed from the right: x' = H (I + d) x, so that steps are of one size for any lattice.
// Coordinates are taken about `centre` and over `size`.
struct Frame {
    Vector2d centre;
    double size;
};

LatticeModel changed(const LatticeModel& model, const Frame& frame, Eigen::Index parameter, double by) {
    LatticeModel result = model;
    if (parameter < kFirstInset) {
        Matrix3d d = Matrix3d::Identity();
        d(parameter / 3, parameter % 3) += by;
        Matrix3d even = Matrix3d::Identity();
        even.topLeftCorner<2, 2>() /= frame.size;
        even.topRightCorner<2, 1>() = -frame.centre / frame.size;
        Matrix3d back = Matrix3d::Identity();
        back.topLeftCorner<2, 2>() *= frame.size;
        back.topRightCorner<2, 1>() = frame.centre;
        result.pinhole_from_lattice = model.pinhole_from_lattice * back * d * even;
    } else if (parameter < kRadial) {
        result.inset[static_cast<std::size_t>(parameter - kFirstInset)] += by;
    } else {
        result.lens.k1 += by;
    }
    return result;
}

Frame frame_of(std::span<const LatticeEdge> edges) {
    Vector2d low = edges.front().in_lattice;
    Vector2d high = low;
    for (const LatticeEdge& edge : edges) {
        low = low.cwiseMin(edge.in_lattice);
        high = high.cwiseMax(edge.in_lattice);
    }
    return {0.5 * (low + high), std::max(1.0, 0.5 * (high - low).maxCoeff())};
}

// Which parameters the edges speak of.
std::vector<Eigen::Index> free_parameters(const LatticeModel& model, std::span<const LatticeEdge> edges) {
    std::vector<Eigen::Index> free;
    for (Eigen::Index i = 0; i < kFirstInset; ++i) {
        free.push_back(i);
    }
    for (int axis = 0; axis < 2; ++axis) {
        if (model.insets_are_free && tells_inset(edges, axis)) {
            free.push_back(kFirstInset + axis);
        }
    }
    constexpr std::size_t kEdgesForRadial = 30;
    if (model.lens_is_free && edges.size() >= kEdgesForRadial) {
        free.push_back(kRadial);
    }
    return free;
}

constexpr double kStep = 1e-5;

std::optional<Vector2d> pixel_of(const LatticeModel& model, const LatticeEdge& edge) {
    return model.pixel(place_of(model, edge));
}

}  // namespace

std::optional<Vector2d> LatticeModel::pixel(const Vector2d& in_lattice) const {
    const Vector3d in_camera = pinhole_from_lattice * in_lattice.homogeneous();
    return project(lens, in_camera);
}

std::optional<Eigen::Matrix2d> LatticeModel::pixel_by_lattice(const Vector2d& in_lattice) const {
    constexpr double kHalf = 0.05;
    Eigen::Matrix2d result;
    for (Eigen::Index axis = 0; axis < 2; ++axis) {
        const auto before = pixel(in_lattice - kHalf * Vector2d::Unit(axis));
        const auto after = pixel(in_lattice + kHalf * Vector2d::Unit(axis));
        if (!before || !after) {
            return std::nullopt;
        }
        result.col(axis) = (*after - *before) / (2.0 * kHalf);
    }
    return result;
}

Vector2d place_of(const LatticeModel& model, const LatticeEdge& edge) {
    Vector2d place = edge.in_lattice;
    place[edge.axis] += edge.inward * model.inset[static_cast<std::size_t>(edge.axis)];
    return place;
}

bool tells_inset(std::span<const LatticeEdge> edges, int axis) {
    bool free_side = false;
    std::optional<double> line;
    bool second_line = false;
    for (const LatticeEdge& edge : edges) {
        if (edge.axis != axis) {
            continue;
        }
        if (edge.inward != 0) {
            free_side = true;
        } else if (!line) {
            line = edge.in_lattice[axis];
        } else if (edge.in_lattice[axis] != *line) {
            second_line = true;
        }
    }
    return free_side && second_line;
}

std::optional<LatticeStep> improve(LatticeModel& model, std::span<const LatticeEdge> edges) {
    constexpr std::size_t kLeastEdges = 10;
    if (edges.size() < kLeastEdges) {
        return std::nullopt;
    }
    const Frame frame = frame_of(edges);
    const std::vector<Eigen::Index> free = free_parameters(model, edges);
    const Eigen::Index count = static_cast<Eigen::Index>(edges.size());
    const Eigen::Index unknowns = static_cast<Eigen::Index>(free.size());
    Eigen::MatrixXd slopes(count, unknowns);
    Eigen::VectorXd offsets(count);
    for (Eigen::Index k = 0; k < unknowns; ++k) {
        const LatticeModel before = changed(model, frame, free[static_cast<std::size_t>(k)], -kStep);
        const LatticeModel after = changed(model, frame, free[static_cast<std::size_t>(k)], kStep);
        for (Eigen::Index i = 0; i < count; ++i) {
            const LatticeEdge& edge = edges[static_cast<std::size_t>(i)];
            const auto from = pixel_of(before, edge);
            const auto to = pixel_of(after, edge);
            if (!from || !to) {
                return std::nullopt;
            }
            slopes(i, k) = edge.normal.dot(*to - *from) / (2.0 * kStep);
        }
    }
    for (Eigen::Index i = 0; i < count; ++i) {
        offsets[i] = edges[static_cast<std::size_t>(i)].offset_px;
    }
    Eigen::VectorXd weights(count);
    for (Eigen::Index i = 0; i < count; ++i) {
        constexpr double kFloor_px = 0.1;  // probes agree no better: clips, cables
        const LatticeEdge& edge = edges[static_cast<std::size_t>(i)];
        const double common = edge.inward != 0 ? kFreeSideSd_px : 0.0;
        weights[i] = 1.0 / (edge.sd_px * edge.sd_px + kFloor_px * kFloor_px + common * common);
    }
    Eigen::VectorXd change = Eigen::VectorXd::Zero(unknowns);
    Eigen::VectorXd used = weights;
    Eigen::MatrixXd normal;
    constexpr int kReweightings = 6;
    for (int round = 0; round < kReweightings; ++round) {
        normal = slopes.transpose() * used.asDiagonal() * slopes;
        const Eigen::LDLT<Eigen::MatrixXd> solver(normal);
        if (solver.info() != Eigen::Success || !(solver.rcond() > 1e-14)) {
            return std::nullopt;
        }
        change = solver.solve(slopes.transpose() * used.asDiagonal() * offsets);
        const Eigen::VectorXd left = offsets - slopes * change;
        for (Eigen::Index i = 0; i < count; ++i) {
            constexpr double kHuber = 1.5;
            const double scaled = std::abs(left[i]) * std::sqrt(weights[i]);
            used[i] = weights[i] * (scaled > kHuber ? kHuber / scaled : 1.0);
        }
    }
    LatticeStep step;
    const Eigen::VectorXd left = offsets - slopes * change;
    step.rms_px = std::sqrt(left.cwiseAbs2().cwiseProduct(used).sum() / used.sum());
    step.moved_px = (slopes * change).cwiseAbs().maxCoeff();
    const double scale = std::max(
        1.0,
        left.cwiseAbs2().cwiseProduct(used).sum() / static_cast<double>(std::max<Eigen::Index>(count - unknowns, 1)));
    step.covariance = Eigen::MatrixXd::Zero(kParameters, kParameters);
    const Eigen::MatrixXd covariance = scale * normal.ldlt().solve(Eigen::MatrixXd::Identity(unknowns, unknowns));
    LatticeModel next = model;
    for (Eigen::Index k = 0; k < unknowns; ++k) {
        next = changed(next, frame, free[static_cast<std::size_t>(k)], change[k]);
        for (Eigen::Index m = 0; m < unknowns; ++m) {
            step.covariance(free[static_cast<std::size_t>(k)], free[static_cast<std::size_t>(m)]) = covariance(k, m);
        }
    }
    step.centre = frame.centre;
    step.size = frame.size;
    model = next;
    return step;
}

double pixel_sd(const LatticeModel& model, const LatticeStep& step, const Vector2d& in_lattice) {
    const Frame frame{step.centre, step.size};
    Eigen::Matrix<double, 2, kParameters> slopes = Eigen::Matrix<double, 2, kParameters>::Zero();
    for (Eigen::Index k = 0; k < kParameters; ++k) {
        const auto from = changed(model, frame, k, -kStep).pixel(in_lattice);
        const auto to = changed(model, frame, k, kStep).pixel(in_lattice);
        if (from && to) {
            slopes.col(k) = (*to - *from) / (2.0 * kStep);
        }
    }
    return std::sqrt(0.5 * (slopes * step.covariance * slopes.transpose()).trace());
}

}  // namespace heatrow::detail
