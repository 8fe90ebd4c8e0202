#include "survey_writer.hpp"

#include "corner_points.hpp"
#include "csv_table.hpp"
#include "geographic.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/core/time.hpp"
#include "scene_facts.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>

namespace scene {
namespace {

namespace fs = std::filesystem;

std::string written_time(const World& world, double time_s) {
    return heatrow::to_iso8601(world.spec.start +
                               std::chrono::milliseconds(static_cast<std::int64_t>(std::llround(time_s * 1000.0))));
}

std::string toml_text(const std::string& text) {
    std::string result = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\') {
            result += '\\';
        }
        result += c;
    }
    return result + "\"";
}

std::string settings(const World& world) {
    const SceneSpec& spec = world.spec;
    const CameraSpec& camera = spec.camera;
    std::string out = fmt::format("[survey]\nid = {}\ntitle = {}\n", toml_text(spec.id), toml_text(spec.title));
    if (!spec.profile.empty()) {
        out += fmt::format("profile = {}\n", toml_text(spec.profile));
    }
    out += fmt::format(
        "\n[site]\nlayout = \"layout.geojson\"\nmodule_types = \"module-types\"\n"
        "origin = {{ longitude = {:.9f}, latitude = {:.9f}, height_m = 0.0 }}\n",
        spec.longitude_deg,
        spec.latitude_deg);
    out += fmt::format(
        "\n[[camera]]\nid = \"thermal\"\nwidth_px = {}\nheight_px = {}\nfocal_px = {:.6f}\n"
        "principal_point_px = [{:.6f}, {:.6f}]\n",
        camera.width_px,
        camera.height_px,
        camera.focal_px,
        camera.principal_point_px.x(),
        camera.principal_point_px.y());
    const auto& d = camera.distortion;
    out += fmt::format("distortion = [{:.8f}, {:.8f}, {:.8f}, {:.8f}, {:.8f}]\n", d[0], d[1], d[2], d[3], d[4]);
    out += fmt::format("time_constant_ms = {:.3f}\nnoise_k = {:.4f}\nblur_sigma_px = {:.4f}\n",
                       camera.time_constant_ms,
                       camera.noise_k,
                       camera.blur_sigma_px);
    out += "\n[frames]\ncamera = \"thermal\"\nfolder = \"frames\"\n";
    out += fmt::format("files = \"*{}\"\nposes = \"poses.csv\"\n", camera.encoding.extension);
    out += spec.handheld ? "placement = \"corner_points\"\ncorner_points = \"corners.csv\"\n"
                         : "altitude = \"site\"\nplacement = \"poses\"\n";
    out += fmt::format("\n[temperature]\nscale = {:.6f}\noffset = {:.4f}\nunit = \"{}\"\n",
                       camera.encoding.scale,
                       camera.encoding.offset,
                       camera.encoding.kelvin ? "K" : "degC");
    if (spec.declared_emissivity) {
        out += fmt::format("emissivity = {:.4f}\n", *spec.declared_emissivity);
    }
    if (spec.declared_reflected_c) {
        out += fmt::format("reflected_c = {:.2f}\n", *spec.declared_reflected_c);
    }
    return out + "\n[conditions]\nlog = \"conditions.csv\"\n";
}

std::string top_name(Top top) {
    switch (top) {
        case Top::up:
            return "up";
        case Top::down:
            return "down";
        case Top::left:
            return "left";
        case Top::right:
            return "right";
    }
    return "up";
}

std::string layout(const World& world, const Geographic& geographic) {
    using nlohmann::ordered_json;
    ordered_json features = ordered_json::array();
    for (int i = 0; i < static_cast<int>(world.plant.panels.size()); ++i) {
        const Panel& panel = world.plant.panels[static_cast<std::size_t>(i)];
        const PanelTable& table = world.plant.table_of(i);
        const PanelType& type = world.plant.type_of(i);
        ordered_json ring = ordered_json::array();
        auto corners = world.plant.corners_in_site(i);
        for (std::size_t k = 0; k <= 4; ++k) {  // counter-clockwise from above, closed
            const Eigen::Vector3d& corner = corners[(4 - k) % 4];
            const auto at = geographic.from_site(corner.x(), corner.y());
            ring.push_back({at.longitude_deg, at.latitude_deg});
        }
        ordered_json properties;
        properties["module"] = panel.id;
        properties["type"] = type.id;
        if (panel.string >= 0) {
            properties["string"] = world.plant.strings[static_cast<std::size_t>(panel.string)].id;
            properties["position"] = panel.position;
        }
        properties["table"] = table.id;
        properties["tilt"] = table.tilt_deg;
        properties["azimuth"] = table.azimuth_deg;
        properties["height"] = world.plant.point_in_site(i, 0.5 * type.width_m, 0.5 * type.height_m).z();
        properties["top"] = top_name(table.top);
        features.push_back({{"type", "Feature"},
                            {"properties", properties},
                            {"geometry", {{"type", "Polygon"}, {"coordinates", ordered_json::array({ring})}}}});
    }
    // One feature a line: readable, and small changes show as small differences.
    std::string out = "{\"type\": \"FeatureCollection\", \"features\": [\n";
    for (std::size_t i = 0; i < features.size(); ++i) {
        out += features[i].dump() + (i + 1 < features.size() ? ",\n" : "\n");
    }
    return out + "]}\n";
}

std::string logged_poses(const World& world, const Geographic& geographic) {
    if (world.spec.handheld) {
        std::string out = "frame,time\n";
        for (const Shot& shot : world.shots) {
            out += fmt::format("{},{}\n", shot.name, written_time(world, shot.stamped_s + world.hidden.camera_clock_s));
        }
        return out;
    }
    std::string out = "frame,time,longitude,latitude,altitude,yaw,pitch,roll\n";
    const auto angle = [](heatrow::Radians value) {
        return std::isnan(value.value()) ? std::string() : fmt::format("{:.3f}", heatrow::in_degrees(value));
    };
    for (const Shot& shot : world.shots) {
        const Eigen::Vector3d& position = shot.logged.position_in_site;
        const auto at = geographic.from_site(position.x(), position.y());
        std::string place = fmt::format("{:.11f},{:.11f},{:.3f}", at.longitude_deg, at.latitude_deg, position.z());
        if (shot.fix == Fix::missing) {
            place = ",,";
        } else if (shot.fix == Fix::zero) {
            place = fmt::format("0.00000000000,0.00000000000,{:.3f}", position.z());
        }
        out += fmt::format("{},{},{},{},{},{}\n",
                           shot.name,
                           written_time(world, shot.stamped_s + world.hidden.camera_clock_s),
                           place,
                           angle(heatrow::wrap_full_turn(shot.logged.yaw)),
                           angle(shot.logged.pitch),
                           angle(shot.logged.roll));
    }
    return out;
}

std::string conditions(const World& world) {
    const bool load = world.spec.conditions.log_load;
    std::string out = fmt::format("time,poa_global,wind_speed,temp_air{}\n", load ? ",load_fraction" : "");
    for (const LogRow& row : world.weather.log()) {
        out += fmt::format("{},{:.1f},{:.2f},{:.2f}{}\n",
                           written_time(world, row.time_s + world.hidden.logger_clock_s),
                           row.irradiance_w_m2,
                           row.wind_m_s,
                           row.air_c,
                           load ? fmt::format(",{:.3f}", row.load) : "");
    }
    return out;
}

std::string corner_points(const World& world, const std::vector<std::vector<ViewTruth>>& views) {
    std::string out = "frame,x,y,module,corner\n";
    for (std::size_t shot = 0; shot < world.shots.size(); ++shot) {
        for (const CornerPick& pick : pick_corners(world, static_cast<int>(shot), views[shot])) {
            out += fmt::format("{},{:.2f},{:.2f},{},{}\n",
                               world.shots[shot].name,
                               pick.pixel.x(),
                               pick.pixel.y(),
                               csv_field(world.plant.panels[static_cast<std::size_t>(pick.panel)].id),
                               pick.corner);
        }
    }
    return out;
}

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
        decoy(csv_field(spec.module), spec.kind);
    }
    return out;
}

std::string outline_table(const World& world, const std::vector<std::vector<ViewTruth>>& views) {
    std::string out = "frame,module,x1,y1,x2,y2,x3,y3,x4,y4,visible_share\n";
    for (std::size_t shot = 0; shot < views.size(); ++shot) {
        for (const ViewTruth& view : views[shot]) {
            out += fmt::format("{},{}",
                               world.shots[shot].name,
                               csv_field(world.plant.panels[static_cast<std::size_t>(view.panel)].id));
            for (const Eigen::Vector2d& corner : view.corners_px) {
                out += fmt::format(",{:.4f},{:.4f}", corner.x(), corner.y());
            }
            out += fmt::format(",{:.3f}\n", view.visible_share);
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
    facts.set("seed", std::to_string(world.seed));
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

void write_survey(const World& world, const std::vector<std::vector<ViewTruth>>& views, const fs::path& folder) {
    const Geographic geographic(world.spec.longitude_deg, world.spec.latitude_deg);
    write_text(folder / "survey.toml", settings(world));
    write_text(folder / "layout.geojson", layout(world, geographic));
    write_text(folder / "poses.csv", logged_poses(world, geographic));
    write_text(folder / "conditions.csv", conditions(world));
    if (world.spec.handheld) {
        write_text(folder / "corners.csv", corner_points(world, views));
    }
    fs::create_directories(folder / "module-types");
    for (const PanelType& type : world.plant.types) {
        std::ifstream in(type.file, std::ios::binary);
        const std::string text{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
        write_text(folder / "module-types" / (type.id + ".toml"), text);
    }
}

void write_truth(const World& world,
                 const std::vector<std::vector<ViewTruth>>& views,
                 const std::vector<FaultTruth>& faults,
                 const fs::path& folder) {
    fs::create_directories(folder);
    write_text(folder / "faults.csv", fault_table(world, faults));
    write_text(folder / "outlines.csv", outline_table(world, views));
    write_text(folder / "poses.csv", pose_table(world));
    write_text(folder / "cells.csv", cell_table(world));
    write_text(folder / "scene.csv", scene_facts(world).to_csv());
    write_text(folder / "hidden.csv", hidden_table(world));
}

}  // namespace scene
