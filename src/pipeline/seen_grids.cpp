#include "seen_grids.hpp"

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/georeference/corner_placement.hpp"
#include "heatrow/pipeline/module_grids.hpp"
#include "parallel_items.hpp"
#include "read_frame.hpp"

#include <cmath>
#include <optional>
#include <string>
#include <utility>

namespace heatrow {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

// Median of the glass around a module's middle, counts; NaN where the picture has none of it.
double level_of(const GridModule& module, CountView counts, double nodata) {
    std::vector<double> values;
    constexpr int kSteps = 12;
    for (int i = 0; i <= kSteps; ++i) {
        for (int k = 0; k <= kSteps; ++k) {
            const double u = 0.2 + 0.6 * i / kSteps;
            const double v = 0.2 + 0.6 * k / kSteps;
            const auto& c = module.corners_px;
            const Vector2d pixel = (1.0 - v) * ((1.0 - u) * c[0] + u * c[1]) + v * ((1.0 - u) * c[3] + u * c[2]);
            const auto x = static_cast<int>(std::lround(pixel.x()));
            const auto y = static_cast<int>(std::lround(pixel.y()));
            if (counts.contains(x, y) && static_cast<double>(counts(x, y)) != nodata) {
                values.push_back(counts(x, y));
            }
        }
    }
    return take_median(values);
}

// What one frame showed.
struct FoundGrid {
    ModuleGrid grid;
    std::vector<double> levels;  // of its modules
};
struct FoundGrids {
    std::vector<FoundGrid> grids;
    std::string why_none;
};

// Steps from module to module along the grid's columns and rows, m.
Vector2d own_pitch(const ModuleGrid& grid, const ModuleType& type) {
    const Vector2d size = grid.shape_lies ? Vector2d(type.height.value(), type.width.value())
                                          : Vector2d(type.width.value(), type.height.value());
    return {size.x() / (1.0 - grid.gap_share[0]), size.y() / (1.0 - grid.gap_share[1])};
}

// Steps along modules' width and height, of one type: the median over all that was found, each grid counting by its
// modules. One grid tells its gaps to some 2 % of a module, a site is built alike all over.
Vector2d common_pitch(const std::vector<FoundGrids>& found, int shape, const ModuleType& type) {
    std::vector<double> along_width;
    std::vector<double> along_height;
    for (const FoundGrids& frame : found) {
        for (const FoundGrid& one : frame.grids) {
            if (one.grid.shape == shape) {
                const Vector2d pitch = own_pitch(one.grid, type);
                along_width.insert(along_width.end(), one.grid.modules.size(), pitch[one.grid.shape_lies ? 1 : 0]);
                along_height.insert(along_height.end(), one.grid.modules.size(), pitch[one.grid.shape_lies ? 0 : 1]);
            }
        }
    }
    return {take_median(along_width), take_median(along_height)};
}

// The grid's plane before the camera: the corners of its lattice, whose places on the plane the pitch tells, placed by
// their pixels. Nothing where they do not fix it.
std::optional<SeenGrid> place_grid(const FoundGrid& found, const Lens& lens, const Vector2d& pitch_of_module) {
    const ModuleGrid& grid = found.grid;
    SeenGrid seen;
    seen.type = *grid.shape;
    seen.lies = grid.shape_lies;
    seen.pitch_m = seen.lies ? Vector2d(pitch_of_module.y(), pitch_of_module.x()) : pitch_of_module;
    const auto on_plane = [&](double column, double row) {
        return Vector3d(seen.pitch_m.x() * column, -seen.pitch_m.y() * row, 0.0);
    };
    FramePrior corners;
    for (const GridModule& module : grid.modules) {
        for (const auto& [right, down] : {std::pair(0, 0), std::pair(1, 0), std::pair(1, 1), std::pair(0, 1)}) {
            const Vector3d place(module.column + right, module.row + down, 1.0);
            if (const auto pixel = project(lens, grid.pinhole_from_lattice * place)) {
                corners.corner_points.push_back({*pixel, on_plane(place.x(), place.y())});
            }
        }
    }
    const auto placed = place_by_corner_points(lens, corners);
    if (!placed) {
        return std::nullopt;
    }
    const PosedCamera camera(lens, placed->pose);
    seen.camera_from_plane = camera.camera_from_site_rotation();
    for (std::size_t i = 0; i < grid.modules.size(); ++i) {
        const GridModule& module = grid.modules[i];
        if (std::isfinite(found.levels[i])) {
            seen.modules.push_back({module.column,
                                    module.row,
                                    camera.to_camera(on_plane(module.column + 0.5, module.row + 0.5)),
                                    found.levels[i],
                                    module.whole});
        }
    }
    return seen.modules.empty() ? std::nullopt : std::optional(std::move(seen));
}

}  // namespace

std::vector<FrameGrids> see_grids(const SurveyInputs& inputs,
                                  const std::vector<std::size_t>& wanted,
                                  const std::vector<ModuleType>& types,
                                  int threads,
                                  const Progress& progress) {
    GridOptions options;
    options.lens = inputs.lens;
    options.blur_sigma_px = inputs.settings.frame_camera().blur_sigma_px;
    options.nodata = inputs.settings.temperature.encoding.nodata.value_or(kNaN);
    for (const ModuleType& type : types) {
        options.shapes.push_back({type.width, type.height, type.frame_width});
    }
    std::vector<FoundGrids> found(wanted.size());
    for_each_item(wanted.size(), threads, "looking for modules", progress, [&](std::size_t i) {
        const auto frame = read_accepted(inputs, wanted[i]);
        if (!frame) {
            found[i].why_none = frame.error().detail;
            return;
        }
        auto grids = find_module_grids(frame->counts.view(), options);
        if (!grids) {
            found[i].why_none = grids.error().detail;
            return;
        }
        for (ModuleGrid& grid : *grids) {
            // Few modules tell their distance badly; beside a large grid they would only bend what it tells.
            constexpr std::size_t kFew = 6;
            if (grid.modules.size() < kFew && !found[i].grids.empty() &&
                found[i].grids.front().grid.modules.size() >= 2 * kFew) {
                continue;
            }
            FoundGrid one;
            for (const GridModule& module : grid.modules) {
                one.levels.push_back(level_of(module, frame->counts.view(), options.nodata));
            }
            one.grid = std::move(grid);
            found[i].grids.push_back(std::move(one));
        }
    });
    std::vector<Vector2d> pitches;
    for (std::size_t shape = 0; shape < types.size(); ++shape) {
        pitches.push_back(common_pitch(found, static_cast<int>(shape), types[shape]));
    }
    std::vector<FrameGrids> result(wanted.size());
    for (std::size_t i = 0; i < wanted.size(); ++i) {
        result[i].why_none = found[i].why_none;
        for (const FoundGrid& one : found[i].grids) {
            if (auto seen = place_grid(one, inputs.lens, pitches[static_cast<std::size_t>(*one.grid.shape)])) {
                result[i].grids.push_back(std::move(*seen));
            }
        }
        if (result[i].grids.empty() && result[i].why_none.empty()) {
            result[i].why_none = "grids were found, but their places before the camera do not follow from them";
        }
    }
    return result;
}

}  // namespace heatrow
