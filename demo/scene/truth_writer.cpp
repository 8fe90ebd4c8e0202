#include "truth_writer.hpp"

#include "csv_table.hpp"
#include "declared_layout.hpp"
#include "heatrow/core/median.hpp"
#include "output_folder.hpp"
#include "scene_facts.hpp"
#include "seasons.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace scene {
namespace {

namespace fs = std::filesystem;

std::string cell_names(const PanelType& type, const std::vector<int>& cells) {
    std::string out;
    for (const int cell : cells) {
        out += (out.empty() ? "" : " ") + heatrow::to_string({cell / type.columns, cell % type.columns});
    }
    return out;
}

template <class Range, class Function>
std::string joined(const Range& range, Function text_of) {
    std::string out;
    for (const auto& item : range) {
        out += (out.empty() ? "" : " ") + std::string(text_of(item));
    }
    return out;
}

// Empty where it has no meaning.
std::string kelvin(double value) {
    return std::isnan(value) ? "" : fmt::format("{:.3f}", value);
}

std::string fault_table(const World& world, const std::vector<FaultTruth>& faults) {
    std::string out =
        "fault,module,string,pattern,substrings,cells,delta_t_k,delta_t_1000_k,whole_views,decoy,in_scope,"
        "resolved_pattern,modules,cell_delta_t_k,cell_delta_t_1000_k,point_delta_t_k,point_delta_t_1000_k,median_delta_"
        "t_k,"
        "median_delta_t_1000_k,source_w_m2,exponent,pixels_per_cell\n";
    const auto panel_id = [&world](int panel) {
        return csv_field(world.plant.panels[static_cast<std::size_t>(panel)].id);
    };
    for (const FaultTruth& truth : faults) {
        const int panel = truth.fault.panel;
        const int string = truth.fault.string;
        out += fmt::format("{},{},{},{},{},{},{},{},{},no,{},{},{},{},{},{},{},{},{},{:.1f},{:.2f},{}\n",
                           truth.id,
                           panel < 0 ? "" : panel_id(panel),
                           string < 0 ? "" : csv_field(world.plant.strings[static_cast<std::size_t>(string)].id),
                           heatrow::to_string(truth.fault.pattern),
                           joined(truth.substrings, [](int substring) { return std::to_string(substring); }),
                           panel < 0 ? "" : cell_names(world.plant.type_of(panel), truth.cells),
                           kelvin(truth.delta_t_k),
                           kelvin(truth.delta_t_1000_k),
                           truth.frames,
                           truth.in_scope ? "yes" : "no",
                           heatrow::to_string(truth.resolved),
                           joined(truth.panels, panel_id),
                           kelvin(truth.at_frames.cell),
                           kelvin(truth.at_1000.cell),
                           kelvin(truth.at_frames.point),
                           kelvin(truth.at_1000.point),
                           kelvin(truth.at_frames.median),
                           kelvin(truth.at_1000.median),
                           truth.source_w_m2,
                           truth.fault.exponent,
                           std::isnan(truth.pixels_per_cell) ? "" : fmt::format("{:.2f}", truth.pixels_per_cell));
    }
    int number = 0;
    const auto decoy = [&](const std::string& module, const std::string& kind) {
        out += fmt::format("D{:02},{},,{},,,,,,yes,no,,,,,,,,,,,\n", ++number, module, kind);
    };
    for (const DecoySpec& spec : world.spec.decoys) {
        decoy("", spec.kind);
    }
    for (const ObstacleSpec& spec : world.spec.obstacles) {
        decoy("", spec.kind);
    }
    for (const OnModuleSpec& spec : world.spec.on_modules) {
        decoy(csv_field(season_id_of(world.spec, spec.module)), spec.kind);
    }
    return out;
}

std::string outline_rows(const World& world, const std::string& frame, const std::vector<ViewTruth>& views) {
    std::string out;
    for (const ViewTruth& view : views) {
        out += fmt::format("{},{}", frame, csv_field(world.plant.panels[static_cast<std::size_t>(view.panel)].id));
        for (const Eigen::Vector2d& corner : view.corners_px) {
            out += fmt::format(",{:.4f},{:.4f}", corner.x(), corner.y());
        }
        out += fmt::format(",{:.3f}\n", view.visible_share);
    }
    return out;
}

// Of the frames, or of the mosaic that stands in for them.
std::string outline_table(const World& world,
                          const std::vector<std::vector<ViewTruth>>& views,
                          const std::vector<ViewTruth>& in_mosaic) {
    std::string out = "frame,module,x1,y1,x2,y2,x3,y3,x4,y4,visible_share\n";
    for (std::size_t shot = 0; !world.spec.mosaic && shot < views.size(); ++shot) {
        out += outline_rows(world, world.shots[shot].name, views[shot]);
    }
    return out + outline_rows(world, MosaicSpec::kFile, in_mosaic);
}

std::string mirror_table(const World& world, const std::vector<std::vector<MirrorTruth>>& mirrors) {
    std::string out = "frame,module,kind,peak_cell,peak_k,cells\n";
    for (std::size_t shot = 0; shot < mirrors.size(); ++shot) {
        for (const MirrorTruth& mirror : mirrors[shot]) {
            const PanelType& type = world.plant.type_of(mirror.panel);
            out += fmt::format("{},{},{},{},{:.2f},{}\n",
                               world.shots[shot].name,
                               csv_field(world.plant.panels[static_cast<std::size_t>(mirror.panel)].id),
                               to_string(mirror.kind),
                               cell_names(type, {mirror.peak_cell}),
                               mirror.peak_k,
                               cell_names(type, mirror.cells));
        }
    }
    return out;
}

std::string layout_error_table(const World& world) {
    const DeclaredLayout declared(world.spec, world.plant);
    std::string out = "part,table,module\n";
    for (int panel = 0; panel < static_cast<int>(world.plant.panels.size()); ++panel) {
        if (const int part = declared.part_of(panel); part >= 0) {
            out += fmt::format("{},{},{}\n",
                               part + 1,
                               csv_field(world.plant.table_of(panel).id),
                               csv_field(world.plant.panels[static_cast<std::size_t>(panel)].id));
        }
    }
    return out;
}

std::string pose_table(const World& world) {
    std::string out = "frame,time,east,north,up,yaw,pitch,roll,flight,fix,logged_east,logged_north,logged_up\n";
    for (const Shot& shot : world.shots) {
        const Eigen::Vector3d& position = shot.pose.position_in_site;
        out += fmt::format("{},{},{:.5f},{:.5f},{:.5f},{:.6f},{:.6f},{:.6f},{},{},{:.3f},{:.3f},{:.3f}\n",
                           shot.name,
                           written_time(world, shot.time_s),
                           position.x(),
                           position.y(),
                           position.z(),
                           heatrow::in_degrees(shot.pose.yaw),
                           heatrow::in_degrees(shot.pose.pitch),
                           heatrow::in_degrees(shot.pose.roll),
                           shot.flight + 1,
                           shot.fix == Fix::good ? "good" : (shot.fix == Fix::missing ? "missing" : "zero"),
                           shot.logged.position_in_site.x(),
                           shot.logged.position_in_site.y(),
                           shot.logged.position_in_site.z());
    }
    return out;
}

std::string cell_table(const World& world) {
    std::vector<int> shots;
    for (std::size_t shot = 0; shot < world.shots.size(); ++shot) {
        shots.push_back(static_cast<int>(shot));
    }
    const MeanConditions mean = mean_conditions(world, shots);
    std::string out = "module,cell,temperature_c,delta_t_k\n";
    for (std::size_t panel = 0; panel < world.heat.size(); ++panel) {
        const PanelHeat& heat = world.heat[panel];
        WeatherNow now;
        now.rise_k = mean.rise_k;
        now.irradiance_felt_w_m2 = mean.irradiance_felt_w_m2;
        now.load_felt = mean.load_felt;
        const HeatState state = world.heat_state(now, static_cast<int>(panel));
        const auto residuals = cell_residuals(heat, state);
        const auto means = heat.cell_means_k(state);
        const double level = heatrow::median_of(residuals);
        const int columns = world.plant.type_of(static_cast<int>(panel)).columns;
        for (std::size_t cell = 0; cell < residuals.size(); ++cell) {
            const int number = static_cast<int>(cell);
            out += fmt::format("{},{},{:.3f},{:.3f}\n",
                               csv_field(world.plant.panels[panel].id),
                               heatrow::to_string({number / columns, number % columns}),
                               mean.air_c + mean.rise_k + means[cell],
                               residuals[cell] - level);
        }
    }
    return out;
}

// How far the picture moves within one time constant of the detector, px, on modules below the camera: median frame.
double typical_smear_px(const World& world) {
    double height = 0.0;
    for (const PanelTable& table : world.plant.tables) {
        height += table.face.at(0.0, 0.5 * table.face.height_m).z() / static_cast<double>(world.plant.tables.size());
    }
    std::vector<double> smears;
    for (const Shot& shot : world.shots) {
        const double metres = shot.velocity_m_s.norm() * world.true_camera.time_constant_ms * 1e-3;
        smears.push_back(metres * world.true_camera.focal_px / std::max(1.0, shot.pose.position_in_site.z() - height));
    }
    return heatrow::take_median(smears);
}

SceneFacts scene_facts(const World& world) {
    SceneFacts facts;
    facts.set("scene", world.spec.id);
    facts.set("title", world.spec.title);
    facts.set("seed", std::to_string(world.site_seed));
    facts.set("expected", world.spec.expected);
    facts.set("medium", world.spec.medium ? "yes" : "no");
    facts.set("noise_k", world.true_camera.noise_k);
    facts.set("fixed_pattern_k", world.true_camera.fixed_pattern_k);
    facts.set("blur_sigma_px", world.true_camera.blur_sigma_px * world.hidden.blur_factor);
    facts.set("smear_px", typical_smear_px(world));
    facts.set("hidden_camera_gain_share", world.spec.hidden.camera_gain_share);
    facts.set("hidden_emissivity", world.spec.hidden.emissivity);
    return facts;
}

std::string hidden_table(const World& world) {
    std::string out = "name,value\n";
    for (const auto& [name, value] : named_draws(world.hidden)) {
        out += fmt::format("{},{:.6f}\n", name, value);
    }
    return out;
}

}  // namespace

void write_truth(const World& world,
                 const std::vector<std::vector<ViewTruth>>& views,
                 const std::vector<ViewTruth>& in_mosaic,
                 const std::vector<std::vector<MirrorTruth>>& mirrors,
                 const std::vector<FaultTruth>& faults,
                 const fs::path& folder) {
    fs::create_directories(folder);
    write_text(folder / "faults.csv", fault_table(world, faults));
    write_text(folder / "outlines.csv", outline_table(world, views, in_mosaic));
    write_text(folder / "mirrors.csv", mirror_table(world, mirrors));
    write_text(folder / "layout_errors.csv", layout_error_table(world));
    write_text(folder / "poses.csv", pose_table(world));
    write_text(folder / "cells.csv", cell_table(world));
    write_text(folder / "scene.csv", scene_facts(world).to_csv());
    write_text(folder / "hidden.csv", hidden_table(world));
}

}  // namespace scene
