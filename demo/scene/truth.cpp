#include "truth.hpp"

#include "lens.hpp"

#include <Eigen/Geometry>
#include <fmt/format.h>

#include <algorithm>
#include <numeric>

namespace scene {
namespace {

using heatrow::Pattern;

constexpr int kGrid = 12;  // sample points each way for the visible share

// Share of the outline that the picture really shows.
double visible_share(const World& world,
                     const Shot& shot,
                     const RayCaster::Viewpoint& from,
                     const std::vector<int>& all_faces,
                     int panel) {
    const PanelType& type = world.plant.type_of(panel);
    const Eigen::Matrix3d axes = site_from_camera(shot.pose);
    const CameraSpec& camera = world.true_camera;
    int seen = 0;
    for (int iy = 0; iy < kGrid; ++iy) {
        for (int ix = 0; ix < kGrid; ++ix) {
            const Eigen::Vector3d at =
                world.plant.point_in_site(panel, (ix + 0.5) / kGrid * type.width_m, (iy + 0.5) / kGrid * type.height_m);
            const Eigen::Vector3d ray = at - shot.pose.position_in_site;
            const auto pixel = pixel_of_point(camera, axes.transpose() * ray);
            if (!pixel || pixel->x() < -0.5 || pixel->y() < -0.5 || pixel->x() > camera.width_px - 0.5 ||
                pixel->y() > camera.height_px - 0.5) {
                continue;
            }
            const Hit hit = world.caster.cast(from, ray, all_faces);
            if (hit.panel == panel && hit.kind != Hit::Kind::back) {
                ++seen;
            }
        }
    }
    return static_cast<double>(seen) / (kGrid * kGrid);
}

// Shots that show a module wholly.
struct WholeViews {
    std::vector<int> bright;  // at the least irradiance or more
    std::vector<int> dark;    // below it: information only
};

std::vector<WholeViews> views_of_panels(const World& world, const std::vector<std::vector<ViewTruth>>& views) {
    std::vector<WholeViews> result(world.plant.panels.size());
    for (std::size_t shot = 0; shot < views.size(); ++shot) {
        const bool enough =
            world.weather.at(world.shots[shot].time_s).irradiance_w_m2 >= world.spec.scope.minimum_irradiance_w_m2;
        for (const ViewTruth& view : views[shot]) {
            if (view.whole()) {
                WholeViews& of_panel = result[static_cast<std::size_t>(view.panel)];
                (enough ? of_panel.bright : of_panel.dark).push_back(static_cast<int>(shot));
            }
        }
    }
    return result;
}

// Medians of the modules' residuals, and of the healthy ones among them.
struct PanelLevels {
    std::vector<std::vector<double>> residuals;
    double healthy_median = 0.0;
};

PanelLevels panel_levels(const World& world) {
    PanelLevels levels;
    std::vector<double> healthy;
    for (std::size_t panel = 0; panel < world.heat.size(); ++panel) {
        levels.residuals.push_back(cell_residuals(world.heat[panel]));
        const int string = world.plant.panels[panel].string;
        const bool faulty = std::ranges::any_of(world.faults, [&](const Fault& fault) {
            return fault.panel == static_cast<int>(panel) || (fault.panel < 0 && fault.string == string);
        });
        if (!faulty) {
            healthy.push_back(median_of(levels.residuals.back()));
        }
    }
    levels.healthy_median = median_of(healthy);
    return levels;
}

// Kelvin at 1000 W/m2 and mean wind; conventions.md, "Differences".
double true_difference(const World& world, const PanelLevels& levels, const Fault& fault) {
    if (fault.panel < 0) {
        std::vector<double> all;
        for (const int panel : world.plant.strings[static_cast<std::size_t>(fault.string)].panels) {
            const auto& residuals = levels.residuals[static_cast<std::size_t>(panel)];
            all.insert(all.end(), residuals.begin(), residuals.end());
        }
        return median_of(all) - levels.healthy_median;
    }
    const auto& residuals = levels.residuals[static_cast<std::size_t>(fault.panel)];
    if (fault.pattern == Pattern::open_circuit_module) {
        return median_of(residuals) - levels.healthy_median;
    }
    const PanelType& type = world.plant.type_of(fault.panel);
    std::vector<double> inside;
    std::vector<double> others;
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        const auto i = static_cast<std::size_t>(cell);
        const bool of_fault =
            fault.pattern == Pattern::hot_cell ? cell == fault.cell : type.substring_of_cell[i] == fault.substring;
        (of_fault ? inside : others).push_back(residuals[i]);
    }
    return median_of(inside) - median_of(others);
}

const std::vector<int>& first_not_empty(const std::vector<int>& first,
                                        const std::vector<int>& second,
                                        const std::vector<int>& third) {
    return !first.empty() ? first : (!second.empty() ? second : third);
}

std::vector<int> all_shots(const World& world) {
    std::vector<int> shots(world.shots.size());
    std::iota(shots.begin(), shots.end(), 0);
    return shots;
}

}  // namespace

double median_of(std::vector<double> values) {
    if (values.empty()) {
        return 0.0;
    }
    std::ranges::sort(values);
    const std::size_t half = values.size() / 2;
    return values.size() % 2 == 1 ? values[half] : 0.5 * (values[half - 1] + values[half]);
}

std::vector<double> cell_residuals(const PanelHeat& heat) {
    std::vector<double> residuals;
    for (std::size_t i = 0; i < heat.cell_mean_k.size(); ++i) {
        residuals.push_back(heat.cell_mean_k[i] - heat.cell_expected_k[i]);
    }
    return residuals;
}

std::vector<ViewTruth> true_views(const World& world, int shot_index) {
    const Shot& shot = world.shots[static_cast<std::size_t>(shot_index)];
    const CameraSpec& camera = world.true_camera;
    const Eigen::Matrix3d axes = site_from_camera(shot.pose);
    const auto from = world.caster.viewpoint(shot.pose.position_in_site);
    std::vector<int> all_faces(static_cast<std::size_t>(world.caster.face_count()));
    std::iota(all_faces.begin(), all_faces.end(), 0);
    // Beyond this the lens model need not hold.
    const double widest = 1.2 * std::hypot(camera.width_px, camera.height_px) / camera.focal_px;
    std::vector<ViewTruth> views;
    for (int panel = 0; panel < static_cast<int>(world.plant.panels.size()); ++panel) {
        ViewTruth view;
        view.panel = panel;
        Eigen::Vector2d low(1e9, 1e9);
        Eigen::Vector2d high(-1e9, -1e9);
        bool projects = true;
        const auto corners = world.plant.corners_in_site(panel);
        for (std::size_t i = 0; i < 4 && projects; ++i) {
            const Eigen::Vector3d in_camera = axes.transpose() * (corners[i] - shot.pose.position_in_site);
            projects = in_camera.z() > 0.1 && in_camera.head<2>().norm() < widest * in_camera.z();
            if (projects) {
                view.corners_px[i] = *pixel_of_point(camera, in_camera);
                low = low.cwiseMin(view.corners_px[i]);
                high = high.cwiseMax(view.corners_px[i]);
            }
        }
        if (!projects || high.x() < -0.5 || high.y() < -0.5 || low.x() > camera.width_px - 0.5 ||
            low.y() > camera.height_px - 0.5) {
            continue;
        }
        view.visible_share = visible_share(world, shot, from, all_faces, panel);
        if (view.visible_share > 0.0) {
            views.push_back(view);
        }
    }
    return views;
}

MeanConditions mean_conditions(const World& world, const std::vector<int>& shots) {
    MeanConditions mean;
    for (const int shot : shots) {
        const WeatherNow now = world.weather.at(world.shots[static_cast<std::size_t>(shot)].time_s);
        const double share = 1.0 / static_cast<double>(shots.size());
        mean.irradiance_felt_w_m2 += share * now.irradiance_felt_w_m2;
        mean.rise_k += share * now.rise_k;
        mean.air_c += share * now.air_c;
    }
    return mean;
}

std::vector<FaultTruth> true_faults(const World& world, const std::vector<std::vector<ViewTruth>>& views) {
    const auto seen = views_of_panels(world, views);
    const PanelLevels levels = panel_levels(world);
    std::vector<FaultTruth> truths;
    for (std::size_t i = 0; i < world.faults.size(); ++i) {
        const Fault& fault = world.faults[i];
        FaultTruth truth;
        truth.id = fmt::format("F{:02}", i + 1);
        truth.fault = fault;
        std::vector<int> panels{fault.panel};
        if (fault.panel < 0) {
            panels = world.plant.strings[static_cast<std::size_t>(fault.string)].panels;
        }
        std::vector<int> shots;
        std::vector<int> dark_shots;
        truth.frames = static_cast<int>(world.shots.size());
        for (const int panel : panels) {
            const WholeViews& of_panel = seen[static_cast<std::size_t>(panel)];
            shots.insert(shots.end(), of_panel.bright.begin(), of_panel.bright.end());
            dark_shots.insert(dark_shots.end(), of_panel.dark.begin(), of_panel.dark.end());
            truth.frames = std::min(truth.frames, static_cast<int>(of_panel.bright.size()));
        }
        if (fault.pattern == Pattern::hot_cell) {
            truth.cells = {fault.cell};
            truth.substrings = {
                world.plant.type_of(fault.panel).substring_of_cell[static_cast<std::size_t>(fault.cell)]};
        } else if (fault.pattern == Pattern::substring_bypassed) {
            truth.substrings = {fault.substring};
            const PanelType& type = world.plant.type_of(fault.panel);
            for (int cell = 0; cell < type.cell_count(); ++cell) {
                if (type.substring_of_cell[static_cast<std::size_t>(cell)] == fault.substring) {
                    truth.cells.push_back(cell);
                }
            }
        }
        const MeanConditions mean = mean_conditions(world, first_not_empty(shots, dark_shots, all_shots(world)));
        truth.delta_t_k = true_difference(world, levels, fault) * mean.rise_k / world.weather.reference_rise_k();
        truth.delta_t_1000_k = truth.delta_t_k * 1000.0 / mean.irradiance_felt_w_m2;
        const ScopeSpec& scope = world.spec.scope;
        truth.in_scope = truth.delta_t_1000_k >= scope.factor * scope.limits_k.at(fault.pattern) &&
                         truth.frames >= scope.minimum_frames;
        truths.push_back(truth);
    }
    return truths;
}

}  // namespace scene
