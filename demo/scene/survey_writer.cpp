#include "survey_writer.hpp"

#include "corner_points.hpp"
#include "csv_table.hpp"
#include "declared_layout.hpp"
#include "geographic.hpp"
#include "moving_trackers.hpp"
#include "visible_frame.hpp"
#include "whole_view.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>

namespace scene {
namespace {

namespace fs = std::filesystem;

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

std::string frame_settings(const World& world) {
    const SceneSpec& spec = world.spec;
    std::string out = "\n[frames]\ncamera = \"thermal\"\n";
    if (spec.mosaic) {
        return out + fmt::format("mosaic = \"{}\"\ntime = \"{}\"\n",
                                 MosaicSpec::kFile,
                                 written_time(world, 0.5 * world.shots.back().time_s));
    }
    out += fmt::format("folder = \"frames\"\nfiles = \"*{}\"\nposes = \"poses.csv\"\n", spec.camera.encoding.extension);
    return out + (spec.handheld ? "placement = \"corner_points\"\ncorner_points = \"corners.csv\"\n"
                                : "altitude = \"site\"\nplacement = \"poses\"\n");
}

// What a person would click on: in frames spread over the survey, the whole module nearest to the middle, at its
// middle.
std::string known_pixels(const World& world, const std::vector<std::vector<ViewTruth>>& views) {
    const CameraSpec& camera = world.spec.camera;
    const Eigen::Vector2d middle(0.5 * (camera.width_px - 1), 0.5 * (camera.height_px - 1));
    std::string out;
    const auto count = views.empty() ? 0 : static_cast<std::size_t>(world.spec.known_pixels);
    for (std::size_t i = 0; i < count; ++i) {
        const std::size_t shot = (2 * i + 1) * views.size() / (2 * count);
        const ViewTruth* nearest = nullptr;
        Eigen::Vector2d pixel = Eigen::Vector2d::Zero();
        for (const ViewTruth& view : views[shot]) {
            Eigen::Vector2d centre = Eigen::Vector2d::Zero();
            for (const Eigen::Vector2d& corner : view.corners_px) {
                centre += 0.25 * corner;
            }
            if (view.visible_share > kWholeShare &&
                (nearest == nullptr || (centre - middle).norm() < (pixel - middle).norm())) {
                nearest = &view;
                pixel = centre;
            }
        }
        if (nearest != nullptr) {
            out += fmt::format("\n[[frames.known]]\nframe = {}\nmodule = {}\npixel = [{:.0f}, {:.0f}]\n",
                               toml_text(world.shots[shot].name),
                               toml_text(world.plant.panels[static_cast<std::size_t>(nearest->panel)].id),
                               pixel.x(),
                               pixel.y());
        }
    }
    return out;
}

std::string settings(const World& world, const std::vector<std::vector<ViewTruth>>& views) {
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
    if (spec.specific_yield_kwh_kw) {
        out += fmt::format("specific_yield_kwh_kw = {:.0f}\n", *spec.specific_yield_kwh_kw);
    }
    out += fmt::format(
        "\n[[camera]]\nid = \"thermal\"\nwidth_px = {}\nheight_px = {}\nfocal_px = {:.6f}\n"
        "principal_point_px = [{:.6f}, {:.6f}]\n",
        camera.width_px,
        camera.height_px,
        camera.stated_focal_px,
        camera.principal_point_px.x(),
        camera.principal_point_px.y());
    const auto& d = camera.distortion;
    out += fmt::format("distortion = [{:.8f}, {:.8f}, {:.8f}, {:.8f}, {:.8f}]\n", d[0], d[1], d[2], d[3], d[4]);
    out += fmt::format("time_constant_ms = {:.3f}\nnoise_k = {:.4f}\nblur_sigma_px = {:.4f}\n",
                       camera.time_constant_ms,
                       camera.noise_k,
                       camera.blur_sigma_px);
    if (camera.refine) {
        out += "refine = true\n";
    }
    if (spec.visible) {
        out += fmt::format(
            "\n[[camera]]\nid = \"visible\"\nkind = \"visible\"\nwidth_px = {}\nheight_px = {}\nfocal_px = {:.6f}\n",
            spec.visible->width_px,
            spec.visible->height_px,
            spec.visible->focal_px);
        out += fmt::format(
            "\n[visible_frames]\ncamera = \"visible\"\nfolder = \"{}\"\nfiles = \"*{}\"\ntimes = \"visible.csv\"\n",
            kVisibleFolder,
            spec.visible->extension());
    }
    out += frame_settings(world) + known_pixels(world, views);
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
    if (trackers_move(spec)) {
        out += "\n[trackers]\nangles = \"log\"\nlog = \"trackers.csv\"\n";
    }
    out += "\n[conditions]\nlog = \"conditions.csv\"\n";
    // As a data sheet has it: a tolerance, within which all gains are as likely.
    return out +
           fmt::format("irradiance_u_percent = {:.2f}\n", 100.0 * spec.declared_logger_tolerance / std::sqrt(3.0));
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
    const DeclaredLayout declared(world.spec, world.plant);
    for (int i = 0; i < static_cast<int>(world.plant.panels.size()); ++i) {
        const Panel& panel = world.plant.panels[static_cast<std::size_t>(i)];
        const PanelTable& table = world.plant.table_of(i);
        const PanelType& type = world.plant.type_of(i);
        ordered_json ring = ordered_json::array();
        auto corners = declared.corners_in_site(i);
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
        properties["height"] = declared.point_in_site(i, 0.5 * type.width_m, 0.5 * type.height_m).z();
        properties["top"] = top_name(table.top);
        const BlockSpec& block = world.spec.blocks[static_cast<std::size_t>(table.block)];
        if (block.tracker && block.tracker->moves_every_s > 0.0) {
            properties["tracker"] = tracker_name(table);
            properties["axis_azimuth"] = block.tracker->axis_azimuth_deg;
            properties["axis_pitch"] = block.row_pitch_m;
            properties["axis_limit"] = block.tracker->limit_deg;
        }
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

// When the visible-light frames were taken, by the same clock as the thermal ones.
std::string visible_times(const World& world) {
    std::string out = "frame,time\n";
    for (const Shot& shot : world.shots) {
        out += fmt::format(
            "{},{}\n",
            visible_name(world, shot.name),
            written_time(world, shot.stamped_s + world.spec.visible->delay_s + world.hidden.camera_clock_s));
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

}  // namespace

void write_survey(const World& world, const std::vector<std::vector<ViewTruth>>& views, const fs::path& folder) {
    const Geographic geographic(world.spec.longitude_deg, world.spec.latitude_deg);
    write_text(folder / "survey.toml", settings(world, views));
    write_text(folder / "layout.geojson", layout(world, geographic));
    if (!world.spec.mosaic) {
        write_text(folder / "poses.csv", logged_poses(world, geographic));
    }
    write_text(folder / "conditions.csv", conditions(world));
    if (trackers_move(world.spec)) {
        write_text(folder / "trackers.csv", tracker_log(world));
    }
    if (world.spec.visible) {
        write_text(folder / "visible.csv", visible_times(world));
    }
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

}  // namespace scene
