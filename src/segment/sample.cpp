#include "heatrow/segment/sample.hpp"

#include "blur_fit.hpp"
#include "heatrow/camera/ground_box.hpp"
#include "module_grid.hpp"
#include "patch_figures.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

namespace heatrow {

namespace {

using detail::kRing;
using detail::ModuleGrid;
using detail::PatchFigures;
using detail::PatchLine;
using Eigen::MatrixXd;
using Eigen::Vector3d;

// Weighting pixels by area averages once more over a pixel; its variance adds to the blur's.
constexpr double kAreaWeightVariance = 1.0 / 12.0;
// Of what a trailing picture shows, from the outline (TrailBlur), in trails.
constexpr double kMiddleOfMass = std::numbers::ln2 - 1.0;
// A fit that multiplies the noise of a cell's mean by more than this is not worth having (own choice).
constexpr double kMostAmplification = 4.0;

PatchFigures look_at(CountView counts, const std::optional<Quad>& patch, float nodata) {
    return patch ? detail::figures_of(counts, *patch, nodata) : PatchFigures{};
}

// Everything that depends on the type, the scale and the neighbours of a module only, made once for all that are alike.
struct Pattern {
    int type = -1;
    int width_key = 0;  // sizes in the picture, rounded
    int height_key = 0;
    int trail_across_key = 0;  // image motion in a detector time constant along the module's axes, rounded
    int trail_down_key = 0;
    std::array<double, 4> band_beyond{};
    PatchLine across;
    PatchLine down;
    MatrixXd cells_across;  // empty: no fit
    MatrixXd cells_down;
};

class Sampler {
  public:
    Sampler(const LayoutIndex& site, const PosedCamera& camera, CountView counts, const SampleOptions& options)
        : site_(site),
          camera_(camera),
          counts_(counts),
          options_(options),
          nodata_(static_cast<float>(options.nodata)) {}

    std::optional<ModuleSlot> sample(int index) {
        const Module& module = site_.module(index);
        const ModuleType& type = site_.layout().type_of(module);
        std::optional<ModuleGrid> grid = ModuleGrid::place(module, type, camera_);
        if (!grid) {
            return std::nullopt;
        }
        // Windows follow the middle of what a trailing picture shows of a cell.
        grid->shift(kMiddleOfMass * trail_px(index));
        ModuleSlot slot;
        slot.module = index;
        slot.corners_px = grid->corners_px();
        describe_view(index, type, *grid, slot);
        const Pattern& pattern = pattern_for(index, type, *grid);
        look_at_cells(type, *grid, pattern, slot);
        if (pattern.cells_across.size() > 0 && pattern.cells_down.size() > 0) {
            fit_cells(type, *grid, pattern, slot);
        }
        return slot;
    }

  private:
    void describe_view(int index, const ModuleType& type, const ModuleGrid& grid, ModuleSlot& slot) const {
        const Vector3d& centre = site_.centre_in_site(index);
        slot.view_angle = camera_.view_angle(centre, site_.normal_in_site(index));
        const double cell_width_px = grid.width_px() * type.cell_area_width.value() / type.width.value() / type.columns;
        const double cell_height_px =
            grid.height_px() * type.cell_area_height.value() / type.height.value() / type.rows;
        slot.cell_short_px = std::min(cell_width_px, cell_height_px);
        if (slot.cell_short_px < options_.minimum_cell_px) {
            slot.flags.set(Flag::too_few_pixels);
        }
        if (0.5 * std::numbers::pi - slot.view_angle.value() < options_.minimum_elevation.value()) {
            slot.flags.set(Flag::angle_too_shallow);
        }
        slot.smear_px = options_.camera_motion_in_site.allFinite() ? trail_px(index).norm() : kNaN;
        if (slot.smear_px > options_.maximum_smear_px) {
            slot.flags.set(Flag::smeared);
        }
    }

    // Motion of the module's picture during one detector time constant; zero where it is not known.
    [[nodiscard]] Eigen::Vector2d trail_px(int index) const {
        const Vector3d& centre = site_.centre_in_site(index);
        const std::optional<Eigen::Vector2d> here = camera_.project(centre);
        const std::optional<Eigen::Vector2d> later = camera_.project(centre - options_.camera_motion_in_site);
        return here && later ? Eigen::Vector2d(*later - *here) : Eigen::Vector2d(0.0, 0.0);
    }

    // The fit along one axis; empty where it is not worth having.
    [[nodiscard]] MatrixXd cell_fit(const PatchLine& line, double trail_px, double px_per_m) const {
        const double sigma_px = std::sqrt(options_.blur_sigma_px * options_.blur_sigma_px + kAreaWeightVariance);
        MatrixXd fit = detail::cell_means_from_sampled(
            line, {sigma_px / px_per_m, trail_px / px_per_m, kMiddleOfMass * trail_px / px_per_m, options_.sheet});
        if (fit.size() > 0 && fit.rowwise().norm().maxCoeff() > kMostAmplification) {
            fit.resize(0, 0);
        }
        return fit;
    }

    const Pattern& pattern_for(int index, const ModuleType& type, const ModuleGrid& grid) {
        // A quarter of a pixel over a whole module changes no weight noticeably.
        const int width_key = static_cast<int>(std::lround(4.0 * grid.width_px()));
        const int height_key = static_cast<int>(std::lround(4.0 * grid.height_px()));
        constexpr double kTrailKeys = 8.0;  // a pixel
        const Eigen::Vector2d trail = trail_px(index);
        const auto& corners = grid.corners_px();
        const int trail_across_key =
            static_cast<int>(std::lround(kTrailKeys * trail.dot((corners[1] - corners[0]).normalized())));
        const int trail_down_key =
            static_cast<int>(std::lround(kTrailKeys * trail.dot((corners[3] - corners[0]).normalized())));
        const int type_index = site_.module(index).type;
        const std::array<double, 4>& beyond = site_.band_beyond_m(index);
        for (const Pattern& pattern : patterns_) {
            if (pattern.type == type_index && pattern.width_key == width_key && pattern.height_key == height_key &&
                pattern.trail_across_key == trail_across_key && pattern.trail_down_key == trail_down_key &&
                pattern.band_beyond == beyond) {
                return pattern;
            }
        }
        Pattern pattern;
        pattern.type = type_index;
        pattern.width_key = width_key;
        pattern.height_key = height_key;
        pattern.trail_across_key = trail_across_key;
        pattern.trail_down_key = trail_down_key;
        pattern.band_beyond = beyond;
        const double px_per_m_across = 0.25 * width_key / type.width.value();
        const double px_per_m_down = 0.25 * height_key / type.height.value();
        pattern.across = detail::patches_along_width(type, beyond, options_.edge_px / px_per_m_across);
        pattern.down = detail::patches_along_height(type, beyond, options_.edge_px / px_per_m_down);
        if (options_.blur_sigma_px > 0.0) {
            pattern.cells_across = cell_fit(pattern.across, trail_across_key / kTrailKeys, px_per_m_across);
            pattern.cells_down = cell_fit(pattern.down, trail_down_key / kTrailKeys, px_per_m_down);
        }
        patterns_.push_back(std::move(pattern));
        return patterns_.back();
    }

    void look_at_cells(const ModuleType& type, const ModuleGrid& grid, const Pattern& pattern, ModuleSlot& slot) const {
        slot.cells.resize(static_cast<std::size_t>(type.cell_count()));
        const float low = static_cast<float>(options_.lowest_count);
        const float high = static_cast<float>(options_.highest_count);
        for (int row = 0; row < type.rows; ++row) {
            for (int column = 0; column < type.columns; ++column) {
                const std::size_t i = static_cast<std::size_t>(column);
                const std::size_t j = static_cast<std::size_t>(row);
                const PatchFigures inside = look_at(
                    counts_, grid.quad(pattern.across.sampled[i + kRing], pattern.down.sampled[j + kRing]), nodata_);
                const std::optional<Quad> whole = grid.quad(pattern.across.cells[i], pattern.down.cells[j]);
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

    // Sampled means of cells and surroundings, rows down, columns across. Surroundings that are out of the picture or
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
                means(row + kRing, column + kRing) =
                    static_cast<double>(slot.cells[static_cast<std::size_t>(type.cell_number({row, column}))].mean);
            }
        }
        const auto surroundings = [&](int row, int column, double inner) {
            const double mean = look_at(counts_,
                                        grid.quad(pattern.across.sampled[static_cast<std::size_t>(column)],
                                                  pattern.down.sampled[static_cast<std::size_t>(row)]),
                                        nodata_)
                                    .mean;
            means(row, column) = std::isnan(mean) ? inner : mean;
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
        const MatrixXd fitted = pattern.cells_down * means * pattern.cells_across.transpose();
        for (int row = 0; row < type.rows; ++row) {
            for (int column = 0; column < type.columns; ++column) {
                slot.cells[static_cast<std::size_t>(type.cell_number({row, column}))].mean =
                    static_cast<float>(fitted(row, column));
            }
        }
    }

    const LayoutIndex& site_;
    const PosedCamera& camera_;
    CountView counts_;
    const SampleOptions& options_;
    float nodata_;
    std::vector<Pattern> patterns_;
};

}  // namespace

std::vector<ModuleSlot> sample_modules(const LayoutIndex& site,
                                       const PosedCamera& camera,
                                       CountView counts,
                                       const SampleOptions& options) {
    // Modules wholly in the picture have their centres in it.
    const GroundBox box = ground_box(camera, Metres(site.lowest_m()), Metres(site.highest_m()), Metres(0.0));
    Sampler sampler(site, camera, counts, options);
    std::vector<ModuleSlot> slots;
    for (const int module : site.modules_in_box(box.low, box.high)) {
        const bool faces =
            site.normal_in_site(module).dot(camera.position_in_site() - site.centre_in_site(module)) > 0.0;
        if (!faces) {
            continue;
        }
        if (std::optional<ModuleSlot> slot = sampler.sample(module)) {
            slots.push_back(std::move(*slot));
        }
    }
    return slots;
}

}  // namespace heatrow
