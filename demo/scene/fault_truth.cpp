#include "fault_truth.hpp"

#include "heatrow/core/median.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <set>

namespace scene {
namespace {

using heatrow::Pattern;

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

// Shots that show a module wholly.
struct WholeViews {
    std::vector<int> bright;  // at the least irradiance or more
    std::vector<int> dark;    // below it: information only
};

// Pixels a metre along the module's two sides, mean over its whole views.
struct Scale {
    double x = 0.0;
    double y = 0.0;
    int views = 0;
};

class Sightings {
  public:
    Sightings(const World& world, const std::vector<std::vector<ViewTruth>>& views)
        : views_(world.plant.panels.size()), scales_(world.plant.panels.size()) {
        for (std::size_t shot = 0; shot < views.size(); ++shot) {
            const bool enough =
                world.weather.at(world.shots[shot].time_s).irradiance_w_m2 >= world.spec.scope.minimum_irradiance_w_m2;
            for (const ViewTruth& view : views[shot]) {
                if (!view.whole()) {
                    continue;
                }
                const auto panel = static_cast<std::size_t>(view.panel);
                (enough ? views_[panel].bright : views_[panel].dark).push_back(static_cast<int>(shot));
                const PanelType& type = world.plant.type_of(view.panel);
                const auto& c = view.corners_px;
                scales_[panel].x += 0.5 * ((c[1] - c[0]).norm() + (c[2] - c[3]).norm()) / type.width_m;
                scales_[panel].y += 0.5 * ((c[3] - c[0]).norm() + (c[2] - c[1]).norm()) / type.height_m;
                ++scales_[panel].views;
            }
        }
    }
    [[nodiscard]] const WholeViews& of(int panel) const { return views_[static_cast<std::size_t>(panel)]; }
    [[nodiscard]] Scale scale(int panel) const {
        Scale scale = scales_[static_cast<std::size_t>(panel)];
        scale.x /= scale.views;  // NaN without views
        scale.y /= scale.views;
        return scale;
    }

  private:
    std::vector<WholeViews> views_;
    std::vector<Scale> scales_;
};

// Modules without a fault, in strings that carry the site's load; up to 400 of them, spread over the plant.
std::vector<int> healthy_panels(const World& world) {
    std::vector<char> faulty(world.plant.panels.size(), 0);
    for (const Fault& fault : world.faults) {
        for (std::size_t panel = 0; panel < faulty.size(); ++panel) {
            faulty[panel] = faulty[panel] != 0 || touches(fault, world.plant, static_cast<int>(panel)) ? 1 : 0;
        }
    }
    std::vector<int> healthy;
    for (std::size_t panel = 0; panel < faulty.size(); ++panel) {
        const int string = world.plant.panels[panel].string;
        if (faulty[panel] == 0 &&
            (string < 0 || world.plant.strings[static_cast<std::size_t>(string)].load_fraction == 1.0)) {
            healthy.push_back(static_cast<int>(panel));
        }
    }
    constexpr std::size_t kMost = 400;
    const std::size_t step = (healthy.size() + kMost - 1) / kMost;
    std::vector<int> chosen;
    for (std::size_t i = 0; i < healthy.size(); i += std::max<std::size_t>(step, 1)) {
        chosen.push_back(healthy[i]);
    }
    return chosen;
}

// Mean conditions, and what one module's temperatures follow in them.
struct Moment {
    MeanConditions mean;
    double sun = 1.0;
    double rise_k = 0.0;
};

Moment moment_of(const MeanConditions& mean, double sun_w_m2) {
    return {mean, sun_w_m2 / 1000.0, mean.rise_k * sun_w_m2 / mean.irradiance_felt_w_m2};
}

HeatState state_of(const World& world, const Moment& moment, int panel) {
    WeatherNow now;
    now.rise_k = moment.rise_k;
    now.irradiance_felt_w_m2 = 1000.0 * moment.sun;
    now.load_felt = moment.mean.load_felt;
    return world.heat_state(now, panel);
}

std::vector<double> residuals_of(const World& world, const Moment& moment, int panel) {
    return cell_residuals(world.heat[static_cast<std::size_t>(panel)], state_of(world, moment, panel));
}

double healthy_level(const World& world, const Moment& moment, const std::vector<int>& healthy) {
    std::vector<double> medians;
    for (const int panel : healthy) {
        medians.push_back(heatrow::median_of(residuals_of(world, moment, panel)));
    }
    return medians.empty() ? 0.0 : heatrow::take_median(medians);  // without any: the template alone
}

// Sums over rectangles of a map.
class Windows {
  public:
    explicit Windows(const HeatMap& map)
        : nx_(map.nx + 1), sums_(static_cast<std::size_t>((map.nx + 1) * (map.ny + 1))) {
        for (int iy = 0; iy < map.ny; ++iy) {
            for (int ix = 0; ix < map.nx; ++ix) {
                at(ix + 1, iy + 1) = static_cast<double>(map.values[static_cast<std::size_t>(iy * map.nx + ix)]) +
                                     at(ix, iy + 1) + at(ix + 1, iy) - at(ix, iy);
            }
        }
    }
    [[nodiscard]] double mean(int x0, int y0, int x1, int y1) {
        return (at(x1, y1) - at(x0, y1) - at(x1, y0) + at(x0, y0)) / ((x1 - x0) * (y1 - y0));
    }

  private:
    double& at(int ix, int iy) { return sums_[static_cast<std::size_t>(iy * nx_ + ix)]; }
    int nx_;
    std::vector<double> sums_;
};

// Hottest mean over 3 x 3 pixels that has its middle on the fault, over the level of the module's other cells.
double hottest_point(
    const World& world, const Moment& moment, const FaultTruth& truth, const Scale& scale, double other_level) {
    const PanelType& type = world.plant.type_of(truth.fault.panel);
    const PanelHeat& heat = world.heat[static_cast<std::size_t>(truth.fault.panel)];
    const HeatState state = state_of(world, moment, truth.fault.panel);
    const HeatMap map = heat.sum_of(state);
    Windows windows(map);
    const auto nodes = [](double pixels_a_metre, double pitch_m, int most) {
        constexpr double kUnseen = 1.0 / 0.03;  // 3 cm a pixel where no frame shows it
        const double pixels = pixels_a_metre > 0.0 ? pixels_a_metre : kUnseen;
        return std::clamp(static_cast<int>(std::lround(3.0 / pixels / pitch_m)), 1, most);
    };
    const int wide = nodes(scale.x, map.dx_m, map.nx);
    const int high = nodes(scale.y, map.dy_m, map.ny);
    const bool box = truth.fault.pattern == Pattern::junction_box;
    constexpr double kBoxReach = 0.08;
    double hottest = -std::numeric_limits<double>::infinity();
    for (int iy = 0; iy + high <= map.ny; ++iy) {
        for (int ix = 0; ix + wide <= map.nx; ++ix) {
            const Eigen::Vector2d middle((ix + 0.5 * wide) * map.dx_m, (iy + 0.5 * high) * map.dy_m);
            const int cell = type.nearest_cell(middle.x(), middle.y());
            const bool on_fault =
                box ? (middle - truth.fault.place_m).norm() < kBoxReach
                    : truth.cells.empty() || std::ranges::find(truth.cells, cell) != truth.cells.end();
            if (on_fault) {
                const double expected = state.rise_share * heat.cell_expected_k[static_cast<std::size_t>(cell)];
                hottest = std::max(hottest, windows.mean(ix, iy, ix + wide, iy + high) - expected);
            }
        }
    }
    return hottest - other_level;
}

Differences differences_of(const World& world,
                           const Moment& moment,
                           const FaultTruth& truth,
                           const Sightings& sightings,
                           const std::vector<int>& healthy) {
    Differences result{kNone, kNone, kNone};
    const Fault& fault = truth.fault;
    if (fault.pattern == Pattern::module_missing) {
        return result;
    }
    if (fault.panel < 0) {
        std::vector<double> all;
        for (const int panel : truth.panels) {
            const auto residuals = residuals_of(world, moment, panel);
            all.insert(all.end(), residuals.begin(), residuals.end());
        }
        result.median = heatrow::median_of(all) - healthy_level(world, moment, healthy);
        return result;
    }
    const auto residuals = residuals_of(world, moment, fault.panel);
    std::vector<double> inside;
    std::vector<double> others;
    for (std::size_t cell = 0; cell < residuals.size(); ++cell) {
        const bool of_fault = std::ranges::find(truth.cells, static_cast<int>(cell)) != truth.cells.end();
        (of_fault ? inside : others).push_back(residuals[cell]);
    }
    if (inside.empty() || others.empty()) {  // the whole module
        const double level = heatrow::median_of(residuals);
        result.cell = *std::ranges::max_element(residuals) - level;
        result.median = level - healthy_level(world, moment, healthy);
        result.point = hottest_point(world, moment, truth, sightings.scale(fault.panel), level);
        return result;
    }
    const double level = heatrow::median_of(others);
    result.cell = *std::ranges::max_element(inside) - level;
    result.median = heatrow::median_of(inside) - level;
    result.point = hottest_point(world, moment, truth, sightings.scale(fault.panel), level);
    return result;
}

double judged_by(Pattern pattern, const Differences& differences) {
    switch (pattern) {
        case Pattern::part_of_cell:
        case Pattern::hot_point:
        case Pattern::cell_interconnect:
        case Pattern::junction_box:
            return differences.point;
        case Pattern::hot_cell:
        case Pattern::multiple_hot_cells:
        case Pattern::shading:
        case Pattern::soiling:
            return differences.cell;
        default:
            return differences.median;
    }
}

// Cells of which at least a twentieth of the light is taken.
std::vector<int> darkened_cells(const std::vector<double>& kept) {
    std::vector<int> cells;
    for (std::size_t cell = 0; cell < kept.size(); ++cell) {
        if (kept[cell] < 0.95) {
            cells.push_back(static_cast<int>(cell));
        }
    }
    return cells;
}

void place(const World& world, FaultTruth& truth) {
    const Fault& fault = truth.fault;
    if (fault.panel < 0) {
        for (const int panel : world.plant.strings[static_cast<std::size_t>(fault.string)].panels) {
            if (touches(fault, world.plant, panel)) {
                truth.panels.push_back(panel);
            }
        }
        return;
    }
    truth.panels = {fault.panel};
    const PanelType& type = world.plant.type_of(fault.panel);
    truth.cells = fault.cells;
    if (fault.pattern == Pattern::shading || fault.pattern == Pattern::soiling) {
        truth.cells = darkened_cells(fault.light_on_cells);
    }
    std::set<int> substrings;
    for (const int cell : truth.cells) {
        substrings.insert(type.substring_of_cell[static_cast<std::size_t>(cell)]);
    }
    if (fault.substring > 0) {
        substrings.insert(fault.substring);
    }
    truth.substrings.assign(substrings.begin(), substrings.end());
    if (fault.substring > 0 || fault.pattern == Pattern::substring_bypassed_by_cell) {
        truth.cells.clear();
        for (int cell = 0; cell < type.cell_count(); ++cell) {
            if (type.substring_of_cell[static_cast<std::size_t>(cell)] == truth.substrings.front()) {
                truth.cells.push_back(cell);
            }
        }
    }
}

// Merges patterns that a thermal frame of this sharpness, without a visible frame and electrical data, cannot tell
// apart.
Pattern resolved_pattern(Pattern pattern, double pixels_per_cell, double blur_sigma_px) {
    constexpr double kPixels = 5.0;  // design: the short side has 5 pixels and the blur is sigma 0.6 px or less
    constexpr double kBlur = 0.6;
    switch (pattern) {
        case Pattern::part_of_cell:
        case Pattern::hot_point:
        case Pattern::cell_interconnect:
            return pixels_per_cell >= kPixels && blur_sigma_px <= kBlur ? pattern : Pattern::hot_cell;
        case Pattern::string_open_circuit:
        case Pattern::string_off:
            return Pattern::string_warm_cause_open;
        case Pattern::soiling:
        case Pattern::broken_glass_suspected:
            return Pattern::external_cause_possible;
        case Pattern::module_replaced:  // of the same size and look: nothing but its temperature tells
            return Pattern::module_cooler;
        default:
            return pattern;
    }
}

// Beyond the limit by the scope's factor; a limit below zero is one of coolness. Of a missing module nothing is seen.
bool is_in_scope(const ScopeSpec& scope, const FaultTruth& truth) {
    const auto limit = scope.limits_k.find(truth.fault.pattern);
    if (limit == scope.limits_k.end()) {
        return false;
    }
    if (truth.fault.pattern == Pattern::module_missing) {
        return true;
    }
    const double least = scope.factor * limit->second;
    return (least < 0.0 ? truth.delta_t_1000_k <= least : truth.delta_t_1000_k >= least) &&
           truth.frames >= scope.minimum_frames;
}

}  // namespace

std::vector<double> cell_residuals(const PanelHeat& heat, const HeatState& state) {
    std::vector<double> residuals = heat.cell_means_k(state);
    for (std::size_t i = 0; i < residuals.size(); ++i) {
        residuals[i] -= state.rise_share * heat.cell_expected_k[i];
    }
    return residuals;
}

std::vector<FaultTruth> true_faults(const World& world, const std::vector<std::vector<ViewTruth>>& views) {
    const Sightings sightings(world, views);
    const auto healthy = healthy_panels(world);
    std::vector<int> every_shot(world.shots.size());
    std::iota(every_shot.begin(), every_shot.end(), 0);
    const ScopeSpec& scope = world.spec.scope;
    std::vector<FaultTruth> truths;
    int shaded = 0;
    for (std::size_t i = 0; i < world.faults.size(); ++i) {
        FaultTruth truth;
        truth.fault = world.faults[i];
        const Pattern pattern = truth.fault.pattern;
        place(world, truth);
        if (pattern == Pattern::shading && truth.cells.empty()) {
            continue;  // a cable's or an edge's breath of shade: warms a little, and nobody would call it shading
        }
        truth.id =
            pattern == Pattern::shading ? fmt::format("S{:02}", ++shaded) : fmt::format("F{:02}", truth.fault.number);
        std::vector<int> shots;
        std::vector<int> dark_shots;
        truth.frames = static_cast<int>(world.shots.size());
        for (const int panel : truth.panels) {
            const WholeViews& of_panel = sightings.of(panel);
            shots.insert(shots.end(), of_panel.bright.begin(), of_panel.bright.end());
            dark_shots.insert(dark_shots.end(), of_panel.dark.begin(), of_panel.dark.end());
            truth.frames = std::min(truth.frames, static_cast<int>(of_panel.bright.size()));
            truth.source_w_m2 = std::max(truth.source_w_m2, world.heat[static_cast<std::size_t>(panel)].source_w_m2);
        }
        const Scale scale = sightings.scale(truth.panels.front());
        const auto box = world.plant.type_of(truth.panels.front()).cell_box(0);
        truth.pixels_per_cell = std::min((box.right - box.left) * scale.x, (box.bottom - box.top) * scale.y);
        truth.resolved = resolved_pattern(pattern, truth.pixels_per_cell, world.true_camera.blur_sigma_px);

        const auto mean =
            mean_conditions(world, !shots.empty() ? shots : (!dark_shots.empty() ? dark_shots : every_shot));
        truth.at_frames = differences_of(world, moment_of(mean, mean.irradiance_felt_w_m2), truth, sightings, healthy);
        truth.at_1000 = differences_of(world, moment_of(mean, 1000.0), truth, sightings, healthy);
        truth.delta_t_k = judged_by(pattern, truth.at_frames);
        truth.delta_t_1000_k = judged_by(pattern, truth.at_1000);
        truth.in_scope = is_in_scope(scope, truth);
        truths.push_back(truth);
    }
    return truths;
}

}  // namespace scene
