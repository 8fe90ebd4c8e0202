#include "heatrow/georeference/lens_refinement.hpp"

#include "edge_observations.hpp"
#include "heatrow/core/fixed_text.hpp"

#include <Eigen/Cholesky>
#include <Eigen/LU>

#include <cmath>
#include <optional>
#include <vector>

namespace heatrow {
namespace {

using detail::PoseObservation;
using detail::Vector6d;
using Eigen::Matrix2d;
using Eigen::Vector2d;
using Matrix62d = Eigen::Matrix<double, 6, 2>;

constexpr int kRounds = 6;
constexpr double kRobustLimit = 4.685;  // Tukey's biweight, 95 % efficient on a normal distribution
// What a round may move a pose by: the lens's share of a frame's residuals is a small one.
constexpr double kPositionSd_m = 3.0;
constexpr double kAttitudeSd = 0.05;

// Derivative of a pixel by ln(focal length) and k1.
std::optional<Matrix2d> pixel_by_lens(const PosedCamera& camera, const Eigen::Vector3d& point_in_site) {
    const auto pixel = camera.project(point_in_site);
    if (!pixel) {
        return std::nullopt;
    }
    const Eigen::Vector3d in_camera = camera.to_camera(point_in_site);
    const Vector2d x = in_camera.head<2>() / in_camera.z();
    Matrix2d derivative;
    derivative << *pixel - camera.lens().principal_point_px, camera.lens().focal_px * x.squaredNorm() * x;
    return derivative;
}

// Normal equations of one frame, its pose first.
struct FrameEquations {
    bool solved = false;
    Matrix6d pose = Matrix6d::Zero();
    Matrix62d mixed = Matrix62d::Zero();
    Matrix2d lens = Matrix2d::Zero();
    Vector6d pose_side = Vector6d::Zero();
    Vector2d lens_side = Vector2d::Zero();
    int edges = 0;

    [[nodiscard]] Matrix2d reduced() const { return lens - mixed.transpose() * pose.ldlt().solve(mixed); }
    [[nodiscard]] Vector2d reduced_side() const { return lens_side - mixed.transpose() * pose.ldlt().solve(pose_side); }
};

FrameEquations equations_of(const Lens& lens, const LensFrame& frame) {
    FrameEquations equations;
    const auto observations = detail::edge_observations(*frame.site, lens, frame.pose, frame.counts, frame.options);
    Matrix6d information = Matrix6d::Zero();
    information.diagonal() << Eigen::Vector3d::Constant(1.0 / (kPositionSd_m * kPositionSd_m)),
        Eigen::Vector3d::Constant(1.0 / (kAttitudeSd * kAttitudeSd));
    if (static_cast<int>(observations.size()) < frame.options.minimum_edges) {
        return equations;
    }
    const auto solution = detail::solve_pose(lens, frame.pose, frame.pose, information, observations, kRobustLimit);
    if (!solution) {
        return equations;
    }
    const PosedCamera camera(lens, frame.pose);
    equations.pose = information;
    for (std::size_t i = 0; i < observations.size(); ++i) {
        const PoseObservation& one = observations[i];
        const double weight = solution->weights[i] / (solution->scale * solution->scale * one.sd_px * one.sd_px);
        const auto by_pose = detail::pixel_by_change(camera, one.point_in_site);
        const auto by_lens = pixel_by_lens(camera, one.point_in_site);
        if (!(weight > 0.0) || !by_pose || !by_lens) {
            continue;
        }
        const Vector6d p = (one.direction.transpose() * *by_pose).transpose();
        const Vector2d l = (one.direction.transpose() * *by_lens).transpose();
        equations.pose += weight * p * p.transpose();
        equations.mixed += weight * p * l.transpose();
        equations.lens += weight * l * l.transpose();
        equations.pose_side += weight * one.offset_px * p;
        equations.lens_side += weight * one.offset_px * l;
        ++equations.edges;
    }
    equations.solved = true;
    return equations;
}

Lens changed(const Lens& lens, const Vector2d& by) {
    Lens result = lens;
    result.focal_px *= std::exp(by.x());
    result.k1 += by.y();
    return result;
}

}  // namespace

tl::expected<LensRefinement, std::string> refine_lens(const Lens& stated,
                                                      std::span<const LensFrame> frames,
                                                      const LensRefinementOptions& options) {
    std::vector<LensFrame> placed(frames.begin(), frames.end());
    LensRefinement refined;
    refined.lens = stated;
    const Vector2d information(1.0 / (options.focal_sd * options.focal_sd), 1.0 / (options.k1_sd * options.k1_sd));
    Matrix2d normal;
    Matrix2d clusters;
    for (int round = 0; round < kRounds; ++round) {
        std::vector<FrameEquations> equations(placed.size());
        options.for_each(placed.size(), [&](std::size_t i) { equations[i] = equations_of(refined.lens, placed[i]); });
        const Vector2d off(std::log(refined.lens.focal_px / stated.focal_px), refined.lens.k1 - stated.k1);
        normal = information.asDiagonal();
        Vector2d side = -information.cwiseProduct(off);
        clusters = information.asDiagonal();
        refined.frames = 0;
        refined.edges = 0;
        for (const FrameEquations& one : equations) {
            if (one.solved) {
                normal += one.reduced();
                side += one.reduced_side();
                clusters += one.reduced_side() * one.reduced_side().transpose();
                refined.edges += one.edges;
                ++refined.frames;
            }
        }
        if (refined.frames < options.fewest_frames) {
            return tl::unexpected(std::to_string(refined.frames) + " of the scout frames lock, " +
                                  std::to_string(options.fewest_frames) + " are needed");
        }
        const Vector2d change = normal.ldlt().solve(side);
        refined.lens = changed(refined.lens, change);
        if (std::abs(std::log(refined.lens.focal_px / stated.focal_px)) > options.most_focal_change) {
            return tl::unexpected("the edges ask for " + fixed_text(refined.lens.focal_px, 1) + " px in place of " +
                                  fixed_text(stated.focal_px, 1) + " px, which is another lens");
        }
        for (std::size_t i = 0; i < placed.size(); ++i) {
            if (equations[i].solved) {
                placed[i].pose =
                    detail::moved(placed[i].pose,
                                  equations[i].pose.ldlt().solve(equations[i].pose_side - equations[i].mixed * change));
            }
        }
    }
    const Matrix2d by_scatter = normal.inverse();
    const Matrix2d by_frames = by_scatter * clusters * by_scatter;
    const Vector2d u = by_scatter.diagonal().cwiseMax(by_frames.diagonal()).cwiseSqrt();
    refined.focal_u_px = u.x() * refined.lens.focal_px;
    refined.k1_u = u.y();
    if (!(u.x() <= options.most_focal_u)) {
        return tl::unexpected("the focal length is not observable: it would be known to " +
                              fixed_text(100.0 * u.x(), 1) + " %, " + fixed_text(100.0 * options.most_focal_u, 1) +
                              " % are needed; frames that look aside tell it from the height");
    }
    return refined;
}

}  // namespace heatrow
