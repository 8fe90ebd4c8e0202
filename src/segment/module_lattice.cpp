#include "heatrow/segment/module_lattice.hpp"

#include "grid_growth.hpp"
#include "heatrow/core/fixed_text.hpp"
#include "heatrow/core/quad_area.hpp"
#include "lattice_seeds.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <map>
#include <string>

namespace heatrow {

namespace {

using Eigen::Vector2d;
using Corners = std::array<Vector2d, 4>;

bool holds(const Corners& corners, const Vector2d& point) {
    for (std::size_t i = 0; i < 4; ++i) {
        const Vector2d along = corners[(i + 1) % 4] - corners[i];
        const Vector2d to = point - corners[i];
        if (along.x() * to.y() - along.y() * to.x() < 0.0) {
            return false;
        }
    }
    return true;
}

Vector2d middle_of(const Corners& corners) {
    return 0.25 * (corners[0] + corners[1] + corners[2] + corners[3]);
}

double area_of(const ModuleGrid& grid) {
    double area = 0.0;
    for (const GridModule& module : grid.modules) {
        area += quad_area(module.corners_px);
    }
    return area;
}

bool covers(const ModuleGrid& grid, const detail::LatticeSeed& seed) {
    return std::any_of(seed.begin(), seed.end(), [&](const detail::PlacedPatch& patch) {
        return grid.at(middle_of(patch.corners_px)) != nullptr;
    });
}

// The seed without its last and first row and column, each where enough is left.
std::vector<detail::LatticeSeed> without_border_lines(const detail::LatticeSeed& seed, std::size_t least) {
    std::vector<detail::LatticeSeed> parts;
    for (const auto line : {&detail::PlacedPatch::row, &detail::PlacedPatch::column}) {
        const auto [low, high] = std::minmax_element(
            seed.begin(), seed.end(), [line](const auto& a, const auto& b) { return a.*line < b.*line; });
        for (const int left_out : {(*high).*line, (*low).*line}) {
            detail::LatticeSeed part = seed;
            std::erase_if(part, [&](const detail::PlacedPatch& patch) { return patch.*line == left_out; });
            if (part.size() >= least && part.size() < seed.size()) {
                parts.push_back(std::move(part));
            }
        }
    }
    return parts;
}

bool overlap(const ModuleGrid& a, const ModuleGrid& b) {
    return std::any_of(a.modules.begin(),
                       a.modules.end(),
                       [&](const GridModule& module) { return b.at(middle_of(module.corners_px)) != nullptr; }) ||
           std::any_of(b.modules.begin(), b.modules.end(), [&](const GridModule& module) {
               return a.at(middle_of(module.corners_px)) != nullptr;
           });
}

}  // namespace

const GridModule* ModuleGrid::find(int column, int row) const {
    for (const GridModule& module : modules) {
        if (module.column == column && module.row == row) {
            return &module;
        }
    }
    return nullptr;
}

const GridModule* ModuleGrid::at(const Vector2d& pixel) const {
    for (const GridModule& module : modules) {
        if (holds(module.corners_px, pixel)) {
            return &module;
        }
    }
    return nullptr;
}

tl::expected<std::vector<ModuleGrid>, Rejection> fit_module_grids(std::span<const PatchSet> patches,
                                                                  CountView counts,
                                                                  const GridOptions& options) {
    const auto least = static_cast<std::size_t>(std::max(options.least_modules, 2));
    std::size_t most_patches = 0;
    std::size_t largest_seed = 0;
    // Area in seeds tells strengths apart: the strongest lines that show nearly as much as any are those between
    // modules, weaker ones cut modules into halves or cells as well.
    std::vector<std::vector<detail::LatticeSeed>> seeds;
    std::vector<double> areas;
    for (const PatchSet& set : patches) {
        most_patches = std::max(most_patches, set.corners_px.size());
        seeds.push_back(detail::lattice_seeds(set.corners_px, least));
        double area = 0.0;
        for (const detail::LatticeSeed& seed : seeds.back()) {
            largest_seed = std::max(largest_seed, seed.size());
            for (const detail::PlacedPatch& patch : seed) {
                area += quad_area(patch.corners_px);
            }
        }
        areas.push_back(area);
    }
    std::vector<std::size_t> order;
    const double most = areas.empty() ? 0.0 : *std::max_element(areas.begin(), areas.end());
    constexpr double kNearlyAll = 0.85;
    for (const bool first : {true, false}) {
        for (std::size_t i = 0; i < areas.size(); ++i) {
            if (areas[i] > 0.0 && (areas[i] >= kNearlyAll * most) == first) {
                order.push_back(i);
            }
        }
    }
    // Probers keep the shapes of bands that they have met.
    std::map<double, detail::GridProbes> probes;
    for (const PatchSet& set : patches) {
        probes.try_emplace(set.line_sigma_px, counts, options, set.line_sigma_px);
    }
    constexpr int kMostFailures = 25;  // one after the other: what is left is texture
    int failures = 0;
    std::vector<ModuleGrid> grids;
    for (const std::size_t i : order) {
        for (const detail::LatticeSeed& seed : seeds[i]) {
            if (std::any_of(grids.begin(), grids.end(), [&](const ModuleGrid& grid) { return covers(grid, seed); })) {
                continue;
            }
            if (++failures > kMostFailures) {
                break;
            }
            const auto grow = [&](const detail::LatticeSeed& from) {
                return detail::GridGrowth(options, patches[i].dark_lines, probes.at(patches[i].line_sigma_px))
                    .grow(from);
            };
            auto grid = grow(seed);
            // A line of snow or shade cuts a row of modules to another size; the others are a lattice without it. Only
            // their shape tells that they are modules: without one, halves of modules and texture would pass too.
            if (!grid && !options.shapes.empty() && seed.size() >= 2 * least) {
                for (const detail::LatticeSeed& part : without_border_lines(seed, least)) {
                    if (grid = grow(part); grid) {
                        break;
                    }
                }
            }
            if (grid && std::none_of(grids.begin(), grids.end(), [&](const ModuleGrid& other) {
                    return overlap(*grid, other);
                })) {
                grids.push_back(std::move(*grid));
                failures = 0;
            }
        }
    }
    // Cells have lines too, which are weak beside those between modules.
    double highest = 0.0;
    for (const ModuleGrid& grid : grids) {
        highest = std::max(highest, grid.line_height);
    }
    constexpr double kLeastHeight = 0.35;
    std::erase_if(grids, [&](const ModuleGrid& grid) { return grid.line_height < kLeastHeight * highest; });
    if (grids.empty()) {
        std::string why;
        if (patches.empty()) {
            why = "no line stands out of the noise; too little contrast, or modules under snow";
        } else if (largest_seed < least) {
            why = std::to_string(most_patches) + " areas framed by lines at most, and no " + std::to_string(least) +
                  " of them side by side; too few lines: too near, too far, or no modules";
        } else {
            why = "areas framed by lines lie side by side, " + std::to_string(largest_seed) +
                  " at most, but are no grid of modules: their sides or their ratio of width to height do not fit";
        }
        return tl::unexpected(Rejection{RejectReason::not_locked, "no module grid found: " + why});
    }
    std::stable_sort(
        grids.begin(), grids.end(), [](const ModuleGrid& a, const ModuleGrid& b) { return area_of(a) > area_of(b); });
    return grids;
}

}  // namespace heatrow
