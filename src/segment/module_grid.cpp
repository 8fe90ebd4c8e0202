#include "module_grid.hpp"

#include "heatrow/segment/sample.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow::detail {

namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double kBeyond = 0.12;  // m: how much of what lies beyond the band is looked at

Interval inside(const Interval& whole, double edge_m) {
    const double clear = kept_clear(whole.to - whole.from, edge_m);
    return {whole.from + clear, whole.to - clear};
}

PatchLine patches(std::vector<Interval> cells, double rim, double length, double before, double after, double edge_m) {
    PatchLine line;
    line.cells = std::move(cells);
    line.first_cell = kRing;
    const auto add = [&line](const Interval& sampled, const Interval& real) {
        line.sampled.push_back(sampled);
        line.real.push_back(real);
    };
    // A rimless side without a neighbour has no band: a sliver stands in for it.
    constexpr double kSliver = 1e-3;
    const double band_from = -std::max(before, rim > 0.0 ? 0.0 : kSliver);
    const double band_to = length + std::max(after, rim > 0.0 ? 0.0 : kSliver);
    const double glass_from = rim;
    const double glass_to = length - rim;
    add(inside({band_from - kBeyond, band_from}, edge_m), {band_from - kBeyond, band_from});
    add({band_from, glass_from}, {band_from, glass_from});
    for (std::size_t i = 0; i < line.cells.size(); ++i) {
        const double from = i == 0 ? glass_from : 0.5 * (line.cells[i - 1].to + line.cells[i].from);
        const double to = i + 1 == line.cells.size() ? glass_to : 0.5 * (line.cells[i].to + line.cells[i + 1].from);
        add(inside(line.cells[i], edge_m), {from, to});
    }
    add({glass_to, band_to}, {glass_to, band_to});
    add(inside({band_to, band_to + kBeyond}, edge_m), {band_to, band_to + kBeyond});
    return line;
}

}  // namespace

PatchLine patches_along_width(const ModuleType& type, double before, double after, double edge_m) {
    std::vector<Interval> cells;
    for (int column = 0; column < type.columns; ++column) {
        const std::array<Vector2d, 4> corners = type.cell_corners({0, column});
        cells.push_back({corners[0].x(), corners[1].x()});
    }
    return patches(std::move(cells), type.frame_width.value(), type.width.value(), before, after, edge_m);
}

PatchLine patches_along_height(const ModuleType& type, double before, double after, double edge_m) {
    std::vector<Interval> cells;
    for (int row = 0; row < type.rows; ++row) {
        const std::array<Vector2d, 4> corners = type.cell_corners({row, 0});
        cells.push_back({corners[0].y(), corners[3].y()});
    }
    return patches(std::move(cells), type.frame_width.value(), type.height.value(), before, after, edge_m);
}

std::optional<ModuleGrid> ModuleGrid::place(const Module& module, const ModuleType& type, const PosedCamera& camera) {
    ModuleGrid grid(camera.lens());
    const auto& corners = module.corners_in_site;
    for (std::size_t i = 0; i < 4; ++i) {
        const std::optional<Vector2d> pixel = camera.project(corners[i]);
        if (!pixel) {
            return std::nullopt;
        }
        grid.corners_px_[i] = *pixel;
    }
    grid.origin_in_camera_ = camera.to_camera(corners[0]);
    const Eigen::Matrix3d& rotation = camera.camera_from_site_rotation();
    grid.along_width_in_camera_ = rotation * (corners[1] - corners[0]) / type.width.value();
    grid.along_height_in_camera_ = rotation * (corners[3] - corners[0]) / type.height.value();
    return grid;
}

bool ModuleGrid::is_whole() const {
    return std::all_of(corners_px_.begin(), corners_px_.end(), [this](const Vector2d& corner) {
        return inside_picture(lens_, corner);
    });
}

double ModuleGrid::width_px() const {
    return 0.5 * ((corners_px_[1] - corners_px_[0]).norm() + (corners_px_[2] - corners_px_[3]).norm());
}

double ModuleGrid::height_px() const {
    return 0.5 * ((corners_px_[3] - corners_px_[0]).norm() + (corners_px_[2] - corners_px_[1]).norm());
}

std::optional<Quad> ModuleGrid::quad(const Interval& x, const Interval& y) const {
    std::array<Vector2d, 4> corners;
    const std::array<Vector2d, 4> in_plane{
        Vector2d(x.from, y.from), Vector2d(x.to, y.from), Vector2d(x.to, y.to), Vector2d(x.from, y.to)};
    for (std::size_t i = 0; i < 4; ++i) {
        const std::optional<Vector2d> pixel = project(
            lens_,
            origin_in_camera_ + in_plane[i].x() * along_width_in_camera_ + in_plane[i].y() * along_height_in_camera_);
        if (!pixel) {
            return std::nullopt;
        }
        corners[i] = *pixel + shift_px_;
    }
    return Quad(corners);
}

}  // namespace heatrow::detail
