// One lattice as a camera sees it, and the least-squares step that moves it onto its edges.
#pragma once

#include "heatrow/camera/lens.hpp"

#include <Eigen/Core>

#include <array>
#include <optional>
#include <span>

namespace heatrow::detail {

struct LatticeModel {
    Eigen::Matrix3d pinhole_from_lattice = Eigen::Matrix3d::Identity();
    Lens lens;
    bool lens_is_free = false;  // its first radial term is fitted
    bool insets_are_free = true;
    // How far the band of a free side lies inside the lattice line, as a share of the pitch along x and y.
    std::array<double, 2> inset{0.0, 0.0};

    [[nodiscard]] std::optional<Eigen::Vector2d> pixel(const Eigen::Vector2d& in_lattice) const;
    // px for one step of the lattice along x and y at a place; columns.
    [[nodiscard]] std::optional<Eigen::Matrix2d> pixel_by_lattice(const Eigen::Vector2d& in_lattice) const;
};

// An edge as measured: `offset_px` along `normal` from where the model has it.
struct LatticeEdge {
    Eigen::Vector2d in_lattice;  // middle of the strip on the lattice line
    int inward = 0;              // of a free side: sign of the step into the module along `axis`; 0 = between modules
    int axis = 0;                // that the side is crossed along: 0 = x, 1 = y
    Eigen::Vector2d normal;
    double offset_px = 0.0;
    double sd_px = 1.0;
};

struct LatticeStep {
    double rms_px = 0.0;               // of the residuals left by the linear fit, robust weights
    double moved_px = 0.0;             // largest predicted motion of an edge
    Eigen::MatrixXd covariance;        // of the parameters, scaled by the residuals
    Eigen::Vector2d centre{0.0, 0.0};  // of the lattice coordinates that the parameters count in
    double size = 1.0;
};

// Where the edge's middle lies now: on the line, or inset.
Eigen::Vector2d place_of(const LatticeModel& model, const LatticeEdge& edge);

// Rim and ground are not told apart below a pixel: a free side is off by this, all of them alike, px.
inline constexpr double kFreeSideSd_px = 0.3;

// Whether the edges tell the inset of free sides along an axis from the pitch: free sides, and two lines between
// modules.
bool tells_inset(std::span<const LatticeEdge> edges, int axis);

// One Gauss-Newton step with Huber weights. Insets move only where the edges tell them. Nothing where the edges do not
// fix the lattice.
std::optional<LatticeStep> improve(LatticeModel& model, std::span<const LatticeEdge> edges);

// Standard deviation of a pixel of the model, px, by the covariance of `improve`.
double pixel_sd(const LatticeModel& model, const LatticeStep& step, const Eigen::Vector2d& in_lattice);

}  // namespace heatrow::detail
