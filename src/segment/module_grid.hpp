// The patches of a module: its cells and a ring of surroundings, in the module plane and in the picture.
#pragma once

#include "blur_fit.hpp"
#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/edges/quad.hpp"
#include "heatrow/site/layout_index.hpp"

#include <Eigen/Core>

#include <array>
#include <optional>
#include <vector>

namespace heatrow::detail {

inline constexpr int kRing = 2;  // patches around the cells on each side

// Intervals along one axis of the module plane, m: what lies beyond, the dark band, the cells, the band, what lies
// beyond. The glass between cells and rim is counted to the outermost cells, gaps between cells to both. Windows keep
// `edge_m` clear. before, after: how far the dark band reaches past the outline, m.
PatchLine patches_along_width(const ModuleType& type, double before, double after, double edge_m);
PatchLine patches_along_height(const ModuleType& type, double before, double after, double edge_m);

// The module plane in the picture, through the lens: exact for every point of the plane.
class ModuleGrid {
  public:
    // Nothing where a corner of the outline is not projected.
    static std::optional<ModuleGrid> place(const Module& module, const ModuleType& type, const PosedCamera& camera);

    // All corners of the outline lie in the picture.
    [[nodiscard]] bool is_whole() const;

    // Moves what `quad` gives, px; the outline stays.
    void shift(const Eigen::Vector2d& by_px) { shift_px_ = by_px; }

    [[nodiscard]] const std::array<Eigen::Vector2d, 4>& corners_px() const { return corners_px_; }
    // Mean length of the sides along the module's width and height, px.
    [[nodiscard]] double width_px() const;
    [[nodiscard]] double height_px() const;

    // A rectangle of the plane (m) in the picture; nothing where a corner is not projected.
    [[nodiscard]] std::optional<Quad> quad(const Interval& x, const Interval& y) const;

  private:
    explicit ModuleGrid(const Lens& lens) : lens_(lens) {}

    Lens lens_;
    std::array<Eigen::Vector2d, 4> corners_px_;
    Eigen::Vector2d shift_px_{0.0, 0.0};
    Eigen::Vector3d origin_in_camera_;
    Eigen::Vector3d along_width_in_camera_;  // per metre
    Eigen::Vector3d along_height_in_camera_;
};

}  // namespace heatrow::detail
