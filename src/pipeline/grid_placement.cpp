#include "grid_placement.hpp"

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/core/fixed_text.hpp"
#include "heatrow/georeference/corner_placement.hpp"
#include "heatrow/pipeline/module_grids.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

namespace heatrow {

namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

Rejection not_locked(const std::string& detail) {
    return {RejectReason::not_locked, detail};
}

std::optional<int> module_with_centre(const LayoutIndex& site, const Vector3d& point) {
    constexpr double kSame = 1e-6;  // m
    const Vector2d reach(0.01, 0.01);
    for (const int module : site.modules_in_box(point.head<2>() - reach, point.head<2>() + reach)) {
        if ((site.centre_in_site(module) - point).norm() < kSame) {
            return module;
        }
    }
    return std::nullopt;
}

Vector2d middle_of(const GridModule& module) {
    return 0.25 * (module.corners_px[0] + module.corners_px[1] + module.corners_px[2] + module.corners_px[3]);
}

double shorter_side(const GridModule& module) {
    return std::min((module.corners_px[1] - module.corners_px[0]).norm(),
                    (module.corners_px[3] - module.corners_px[0]).norm());
}

// Corners of the layout's modules that a pose puts onto corners of the grid's.
struct Match {
    std::vector<CornerPoint> points;
    int modules = 0;
};

Match match(const LayoutIndex& site, const PosedCamera& camera, const ModuleGrid& grid) {
    Match result;
    constexpr double kNear = 0.3;  // of the shorter side
    for (int module = 0; module < static_cast<int>(site.layout().modules.size()); ++module) {
        const auto centre = camera.project(site.centre_in_site(module));
        const bool faces = site.normal_in_site(module).dot(camera.position_in_site() - site.centre_in_site(module)) > 0;
        const GridModule* seen = centre && faces ? grid.at(*centre) : nullptr;
        if (seen == nullptr || (*centre - middle_of(*seen)).norm() > kNear * shorter_side(*seen)) {
            continue;
        }
        std::vector<CornerPoint> points;
        for (const Vector3d& corner : site.module(module).corners_in_site) {
            const auto pixel = camera.project(corner);
            if (!pixel) {
                break;
            }
            const auto nearest = std::min_element(
                seen->corners_px.begin(), seen->corners_px.end(), [&](const Vector2d& a, const Vector2d& b) {
                    return (a - *pixel).squaredNorm() < (b - *pixel).squaredNorm();
                });
            if ((*nearest - *pixel).norm() < kNear * shorter_side(*seen)) {
                points.push_back({*nearest, corner});
            }
        }
        if (points.size() == 4) {
            ++result.modules;
            result.points.insert(result.points.end(), points.begin(), points.end());
        }
    }
    return result;
}

struct Fit {
    LockedFrame placed;
    int modules = 0;
};

// From one module's four corners, the way round given, to all that the layout and the grid share.
std::optional<Fit> lay_over(const LayoutIndex& site,
                            const Lens& lens,
                            const FramePrior& prior,
                            const ModuleGrid& grid,
                            const GridModule& first,
                            int module,
                            std::size_t turn) {
    FramePrior corners = prior;
    corners.corner_points.clear();
    for (std::size_t k = 0; k < 4; ++k) {
        corners.corner_points.push_back({first.corners_px[(k + turn) % 4], site.module(module).corners_in_site[k]});
    }
    auto placed = place_by_corner_points(lens, corners);
    std::optional<Fit> best;
    constexpr int kRounds = 5;
    for (int round = 0; placed && round < kRounds; ++round) {
        const Match all = match(site, PosedCamera(lens, placed->pose), grid);
        if (all.modules < 1) {
            return std::nullopt;
        }
        corners.corner_points = all.points;
        placed = place_by_corner_points(lens, corners);
        if (placed) {
            best = Fit{*placed, all.modules};
        }
    }
    return best;
}

bool names_hold(const LayoutIndex& site, const Lens& lens, const FramePrior& prior, const FramePose& pose) {
    const PosedCamera camera(lens, pose);
    return std::all_of(prior.corner_points.begin(), prior.corner_points.end(), [&](const CornerPoint& named) {
        const auto module = module_with_centre(site, named.point_in_site);
        if (!module) {
            return false;
        }
        GridModule outline;
        for (std::size_t k = 0; k < 4; ++k) {
            const auto pixel = camera.project(site.module(*module).corners_in_site[k]);
            if (!pixel) {
                return false;
            }
            outline.corners_px[k] = *pixel;
        }
        ModuleGrid one;
        one.modules.push_back(outline);
        return one.at(named.pixel) != nullptr;
    });
}

}  // namespace

bool named_inside(const LayoutIndex& site, const FramePrior& prior) {
    return !prior.corner_points.empty() &&
           std::all_of(prior.corner_points.begin(), prior.corner_points.end(), [&](const CornerPoint& point) {
               return module_with_centre(site, point.point_in_site).has_value();
           });
}

tl::expected<LockedFrame, Rejection> place_by_grid(
    const LayoutIndex& site, const Lens& lens, const FramePrior& prior, CountView counts, const LockOptions& options) {
    GridOptions grid_options;
    grid_options.lens = lens;
    grid_options.blur_sigma_px = options.blur_sigma_px;
    grid_options.nodata = options.nodata;
    for (const ModuleType& type : site.layout().types) {
        grid_options.shapes.push_back({type.width, type.height, type.frame_width});
    }
    const auto grids = find_module_grids(counts, grid_options);
    if (!grids) {
        return tl::unexpected(grids.error());
    }
    const CornerPoint& named = prior.corner_points.front();
    const ModuleGrid* grid = nullptr;
    const GridModule* first = nullptr;
    for (const ModuleGrid& candidate : *grids) {
        if (first == nullptr) {
            first = candidate.at(named.pixel);
            grid = &candidate;
        }
    }
    if (first == nullptr) {
        return tl::unexpected(not_locked("no module was found at the named pixel " + fixed_text(named.pixel.x(), 0) +
                                         ", " + fixed_text(named.pixel.y(), 0) +
                                         "; name another module of the frame, or give four corner points"));
    }
    const std::optional<int> module = module_with_centre(site, named.point_in_site);
    std::vector<Fit> fits;
    for (std::size_t turn = 0; module && turn < 4; ++turn) {
        const auto fit = lay_over(site, lens, prior, *grid, *first, *module, turn);
        if (fit && names_hold(site, lens, prior, fit->placed.pose)) {
            fits.push_back(*fit);
        }
    }
    std::stable_sort(fits.begin(), fits.end(), [](const Fit& a, const Fit& b) { return a.modules > b.modules; });
    const int all = static_cast<int>(grid->modules.size());
    // All of the grid's: beside the right place a shift by one leaves no more than one column or row over.
    if (fits.empty() || fits.front().modules < all) {
        return tl::unexpected(not_locked("of " + std::to_string(all) + " modules found in the frame " +
                                         std::to_string(fits.empty() ? 0 : fits.front().modules) +
                                         " lie where the layout has modules; is the named module right?"));
    }
    if (fits.size() > 1 && fits[1].modules >= all) {
        return tl::unexpected(not_locked(
            "the modules found fit the layout in two ways round; name a second module of the frame, off the first "
            "one's row and column"));
    }
    return fits.front().placed;
}

}  // namespace heatrow
