#include "heatrow/segment/sample.hpp"

#include "axis_fit.hpp"
#include "heatrow/camera/ground_box.hpp"
#include "heatrow/edges/trail_blur.hpp"
#include "module_grid.hpp"
#include "patch_figures.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <numbers>
#include <optional>

namespace heatrow {

namespace {

using detail::Axis;
using detail::AxisFit;
using detail::AxisFits;
using detail::kRing;
using detail::ModuleGrid;
using detail::PatchFigures;
using Eigen::MatrixXd;
using Eigen::Vector2d;
using Eigen::Vector3d;

PatchFigures look_at(CountView counts, const std::optional<Quad>& patch, float nodata) {
    return patch ? detail::figures_of(counts, *patch, nodata) : PatchFigures{};
}

// Both axes of one module.
struct Pattern {
    const AxisFit& across;
    const AxisFit& down;
};

class FrameSampler {
  public:
    FrameSampler(const LayoutIndex& site,
                 const SampleOptions& options,
                 AxisFits& fits,
                 const PosedCamera& camera,
                 CountView counts,
                 const FrameCircumstances& circumstances)
        : site_(site),
          options_(options),
          fits_(fits),
          camera_(camera),
          counts_(counts),
          circumstances_(circumstances),
          nodata_(static_cast<float>(options.nodata)) {}

    // `whole`: the module lies wholly in the picture, or is cut by its border; nothing where it is otherwise.
    std::optional<ModuleSlot> sample(int index, bool whole) {
        const Module& module = site_.module(index);
        const ModuleType& type = site_.layout().type_of(module);
        std::optional<ModuleGrid> grid = ModuleGrid::place(module, type, camera_);
        if (!grid || grid->is_whole() != whole) {
            return std::nullopt;
        }
        const Vector2d trail = trail_px(index);
        grid->shift(kMiddleOfMass * trail);
        ModuleSlot slot;
        slot.module = index;
        slot.corners_px = grid->corners_px();
        describe_view(index, type, *grid, trail, slot);
        const Pattern pattern = pattern_for(index, type, *grid, trail);
        look_at_cells(type, *grid, pattern, slot);
        const std::vector<char> in_picture = whole ? std::vector<char>() : cells_in_picture(type, *grid, pattern);
        if (!whole && std::count(in_picture.begin(), in_picture.end(), 1) == 0) {
            return std::nullopt;
        }
        if (!pattern.across.line.empty() && !pattern.down.line.empty()) {
            fit_cells(type, *grid, pattern, slot);
        }
        if (!whole) {
            slot.flags.set(Flag::seen_in_part);
            for (std::size_t i = 0; i < slot.cells.size(); ++i) {
                if (in_picture[i] == 0) {
                    slot.cells[i] = {std::nanf(""), std::nanf(""), std::nanf(""), 0.0F};
                }
            }
        }
        return slot;
    }

  private:
    void describe_view(
        int index, const ModuleType& type, const ModuleGrid& grid, const Vector2d& trail, ModuleSlot& slot) const {
        const Vector3d& centre = site_.centre_in_site(index);
        slot.view_angle = camera_.view_angle(centre, site_.normal_in_site(index));
        const double cell_width_px = grid.width_px() * type.cell_area_width.value() / type.width.value() / type.columns;
        const double cell_height_px =
            grid.height_px() * type.cell_area_height.value() / type.height.value() / type.rows;
        slot.cell_short_px = std::min(cell_width_px, cell_height_px);
        slot.smear_px = circumstances_.camera_motion_in_site.allFinite() ? trail.norm() : kNaN;
        judge_view(options_, slot);
    }

    // Motion of the module's picture during one detector time constant; zero where it is not known.
    [[nodiscard]] Vector2d trail_px(int index) const {
        const Vector3d& centre = site_.centre_in_site(index);
        const std::optional<Vector2d> here = camera_.project(centre);
        const std::optional<Vector2d> later = camera_.project(centre - circumstances_.camera_motion_in_site);
        return here && later ? Vector2d(*later - *here) : Vector2d(0.0, 0.0);
    }

    [[nodiscard]] Pattern pattern_for(int index,
                                      const ModuleType& type,
                                      const ModuleGrid& grid,
                                      const Vector2d& trail) const {
        const auto& corners = grid.corners_px();
        const std::array<double, 4>& beyond = site_.band_beyond_m(index);  // sides as in BandEdge
        const int type_index = site_.module(index).type;
        const auto along =
            [&](Axis axis, double length_px, const Vector2d& end, double before, double after) -> const AxisFit& {
            const double trail_along = trail.dot((end - corners[0]).normalized());
            return fits_.fit({type_index,
                              axis,
                              detail::whole_px(length_px),
                              detail::eighths_px(trail_along),
                              detail::whole_mm(before),
                              detail::whole_mm(after),
                              circumstances_.loss_w_m2k},
                             type);
        };
        return {along(Axis::across, grid.width_px(), corners[1], beyond[3], beyond[1]),
                along(Axis::down, grid.height_px(), corners[3], beyond[0], beyond[2])};
    }

    void look_at_cells(const ModuleType& type, const ModuleGrid& grid, const Pattern& pattern, ModuleSlot& slot) const {
        slot.cells.resize(static_cast<std::size_t>(type.cell_count()));
        const float low = static_cast<float>(options_.lowest_count);
        const float high = static_cast<float>(std::fmin(options_.highest_count, circumstances_.highest_count));
        for (int row = 0; row < type.rows; ++row) {
            for (int column = 0; column < type.columns; ++column) {
                const std::size_t i = static_cast<std::size_t>(column);
                const std::size_t j = static_cast<std::size_t>(row);
                const PatchFigures inside = look_at(
                    counts_,
                    grid.quad(pattern.across.patches.sampled[i + kRing], pattern.down.patches.sampled[j + kRing]),
                    nodata_);
                const std::optional<Quad> whole =
                    grid.quad(pattern.across.patches.cells[i], pattern.down.patches.cells[j]);
                CellSample& cell = slot.cells[static_cast<std::size_t>(type.cell_number({row, column}))];
                cell.mean = static_cast<float>(inside.mean);
                cell.spread = static_cast<float>(inside.spread);
                cell.pixels = static_cast<float>(inside.pixels);
                cell.hottest = static_cast<float>(whole ? detail::hottest_of(counts_, *whole, nodata_) : kNaN);
                if (inside.pixels > 0.0 && (inside.highest >= high || inside.lowest <= low)) {
                    slot.flags.set(Flag::clipped);
                }
            }
        }
    }

    // By cell number: 1 where all of the cell is in the picture.
    [[nodiscard]] std::vector<char> cells_in_picture(const ModuleType& type,
                                                     const ModuleGrid& grid,
                                                     const Pattern& pattern) const {
        std::vector<char> in_picture;
        for (int cell = 0; cell < type.cell_count(); ++cell) {
            const CellIndex at = type.cell_at(cell);
            const std::optional<Quad> quad =
                grid.quad(pattern.across.patches.cells[static_cast<std::size_t>(at.column)],
                          pattern.down.patches.cells[static_cast<std::size_t>(at.row)]);
            in_picture.push_back(quad && inside_picture(camera_.lens(), quad->low()) &&
                                 inside_picture(camera_.lens(), quad->high()));
        }
        return in_picture;
    }

    // Cells with less than a pixel in the picture take the mean of the nearest one that has more.
    void fill_beyond_border(const ModuleType& type, const ModuleSlot& slot, MatrixXd& means) const {
        constexpr float kLeastPixels = 1.0F;
        const auto pixels = [&](int cell) { return slot.cells[static_cast<std::size_t>(cell)].pixels; };
        for (int cell = 0; cell < type.cell_count(); ++cell) {
            if (pixels(cell) >= kLeastPixels) {
                continue;
            }
            const CellIndex at = type.cell_at(cell);
            int nearest = -1;
            int steps = std::numeric_limits<int>::max();
            for (int other = 0; other < type.cell_count(); ++other) {
                const CellIndex there = type.cell_at(other);
                const int away = std::abs(there.row - at.row) + std::abs(there.column - at.column);
                if (pixels(other) >= kLeastPixels && away < steps) {
                    nearest = other;
                    steps = away;
                }
            }
            if (nearest >= 0) {
                const CellSample& stand_in = slot.cells[static_cast<std::size_t>(nearest)];
                means(at.row + kRing, at.column + kRing) =
                    light_of(static_cast<double>(stand_in.mean), static_cast<double>(stand_in.spread));
            }
        }
    }

    // Light that was sampled in a patch. Where counts differ inside it, so does their light, and more.
    [[nodiscard]] double light_of(double mean, double spread) const {
        return options_.light ? options_.light->mean_light(mean, spread) : mean;
    }

    // Mean count of a cell from its mean light, inside which light has this standard deviation.
    [[nodiscard]] double count_of(double light, double light_spread) const {
        if (!options_.light) {
            return light;
        }
        const double spread = light_spread / options_.light->slope(options_.light->count(light));
        return options_.light->mean_count(light, spread);
    }

    // Sampled light of cells and surroundings, rows down, columns across. Surroundings that are out of the picture or
    // without data repeat what lies next to them on the inside.
    MatrixXd all_means(const ModuleType& type,
                       const ModuleGrid& grid,
                       const Pattern& pattern,
                       const ModuleSlot& slot) const {
        const int columns = type.columns + 2 * kRing;
        const int rows = type.rows + 2 * kRing;
        MatrixXd means(rows, columns);
        for (int row = 0; row < type.rows; ++row) {
            for (int column = 0; column < type.columns; ++column) {
                const CellSample& cell = slot.cells[static_cast<std::size_t>(type.cell_number({row, column}))];
                means(row + kRing, column + kRing) =
                    light_of(static_cast<double>(cell.mean), static_cast<double>(cell.spread));
            }
        }
        if (!grid.is_whole()) {
            fill_beyond_border(type, slot, means);
        }
        const auto surroundings = [&](int row, int column, double inner) {
            const PatchFigures seen =
                look_at(counts_,
                        grid.quad(pattern.across.patches.sampled[static_cast<std::size_t>(column)],
                                  pattern.down.patches.sampled[static_cast<std::size_t>(row)]),
                        nodata_);
            means(row, column) = std::isnan(seen.mean) ? inner : light_of(seen.mean, seen.spread);
        };
        for (int ring = kRing - 1; ring >= 0; --ring) {
            for (int row = kRing; row < rows - kRing; ++row) {
                surroundings(row, ring, means(row, ring + 1));
                surroundings(row, columns - 1 - ring, means(row, columns - 2 - ring));
            }
            for (int column = kRing; column < columns - kRing; ++column) {
                surroundings(ring, column, means(ring + 1, column));
                surroundings(rows - 1 - ring, column, means(rows - 2 - ring, column));
            }
        }
        // Corners touch no cell but at its corner; what lies beside them will do.
        for (int row = 0; row < kRing; ++row) {
            for (int column = 0; column < kRing; ++column) {
                means(row, column) = 0.5 * (means(row, kRing) + means(kRing, column));
                means(row, columns - 1 - column) =
                    0.5 * (means(row, columns - 1 - kRing) + means(kRing, columns - 1 - column));
                means(rows - 1 - row, column) = 0.5 * (means(rows - 1 - row, kRing) + means(rows - 1 - kRing, column));
                means(rows - 1 - row, columns - 1 - column) =
                    0.5 * (means(rows - 1 - row, columns - 1 - kRing) + means(rows - 1 - kRing, columns - 1 - column));
            }
        }
        return means;
    }

    void fit_cells(const ModuleType& type, const ModuleGrid& grid, const Pattern& pattern, ModuleSlot& slot) const {
        const MatrixXd means = all_means(type, grid, pattern, slot);
        if (!means.allFinite()) {
            return;  // a cell without data: plain means stand
        }
        const detail::FittedCells fitted = detail::fitted_cells(pattern.down.line, pattern.across.line, means);
        for (int row = 0; row < type.rows; ++row) {
            for (int column = 0; column < type.columns; ++column) {
                slot.cells[static_cast<std::size_t>(type.cell_number({row, column}))].mean =
                    static_cast<float>(count_of(fitted.means(row, column), fitted.spreads(row, column)));
            }
        }
    }

    const LayoutIndex& site_;
    const SampleOptions& options_;
    AxisFits& fits_;
    const PosedCamera& camera_;
    CountView counts_;
    const FrameCircumstances& circumstances_;
    float nodata_;
};

}  // namespace

void judge_view(const SampleOptions& options, ModuleSlot& slot) {
    const auto judge = [&slot](Flag flag, bool holds) { holds ? slot.flags.set(flag) : slot.flags.clear(flag); };
    judge(Flag::too_few_pixels, slot.cell_short_px < options.minimum_cell_px);
    judge(Flag::angle_too_shallow,
          0.5 * std::numbers::pi - slot.view_angle.value() < options.minimum_elevation.value());
    judge(Flag::smeared, slot.smear_px > options.maximum_smear_px);
}

ModuleSampler::ModuleSampler(const LayoutIndex& site, const SampleOptions& options)
    : site_(site),
      options_(options),
      fits_(std::make_unique<AxisFits>(options.spread, options.edge_px, options.sheet)) {}

ModuleSampler::~ModuleSampler() = default;

std::vector<ModuleSlot> ModuleSampler::sample(const PosedCamera& camera,
                                              CountView counts,
                                              const FrameCircumstances& circumstances) const {
    // Modules wholly in the picture have their centres in it.
    const GroundBox box = ground_box(camera, Metres(site_.lowest_m()), Metres(site_.highest_m()), Metres(0.0));
    FrameSampler sampler(site_, options_, *fits_, camera, counts, circumstances);
    std::vector<ModuleSlot> slots;
    for (const int module : site_.modules_in_box(box.low, box.high)) {
        const bool faces =
            site_.normal_in_site(module).dot(camera.position_in_site() - site_.centre_in_site(module)) > 0.0;
        if (!faces) {
            continue;
        }
        if (std::optional<ModuleSlot> slot = sampler.sample(module, true)) {
            slots.push_back(std::move(*slot));
        }
    }
    return slots;
}

std::optional<ModuleSlot> ModuleSampler::sample_part(int module,
                                                     const PosedCamera& camera,
                                                     CountView counts,
                                                     const FrameCircumstances& circumstances) const {
    return FrameSampler(site_, options_, *fits_, camera, counts, circumstances).sample(module, false);
}

}  // namespace heatrow
