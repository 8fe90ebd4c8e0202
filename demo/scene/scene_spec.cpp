#include "scene_spec.hpp"

#include "heatrow/core/error.hpp"
#include "toml_section.hpp"

#include <fmt/format.h>

namespace scene {
namespace {

using heatrow::kNaN;
using heatrow::Pattern;

Eigen::Vector2d vector2(Section& section, std::string_view key, std::vector<double> fallback) {
    const auto values = section.numbers_of(key, 2, std::move(fallback));
    return {values[0], values[1]};
}

Eigen::Vector3d vector3(Section& section, std::string_view key) {
    const auto values = section.numbers_of(key, 3, {});
    return {values[0], values[1], values[2]};
}

Pattern pattern_of(const Section& section, std::string_view key, std::string_view name) {
    const auto pattern = heatrow::parse_pattern(name);
    if (!pattern || (*pattern != Pattern::hot_cell && *pattern != Pattern::substring_bypassed &&
                     *pattern != Pattern::open_circuit_module && *pattern != Pattern::string_warm_cause_open)) {
        section.fail(key, fmt::format("'{}' is no pattern that can be rendered yet", name));
    }
    return *pattern;
}

CameraSpec read_camera(Section section) {
    CameraSpec camera;
    camera.width_px = section.integer("width_px", camera.width_px);
    camera.height_px = section.integer("height_px", camera.height_px);
    camera.focal_px = section.number("focal_px", camera.focal_px);
    camera.principal_point_px =
        vector2(section, "principal_point_px", {(camera.width_px - 1) / 2.0, (camera.height_px - 1) / 2.0});
    const auto distortion = section.numbers_of("distortion", 5, {0.0, 0.0, 0.0, 0.0, 0.0});
    std::copy(distortion.begin(), distortion.end(), camera.distortion.begin());
    camera.blur_sigma_px = section.number("blur_sigma_px", camera.blur_sigma_px);
    camera.time_constant_ms = section.number("time_constant_ms", camera.time_constant_ms);
    camera.noise_k = section.number("noise_k", camera.noise_k);
    camera.fixed_pattern_k = section.number("fixed_pattern_k", camera.fixed_pattern_k);
    camera.vignetting_k = section.number("vignetting_k", camera.vignetting_k);
    camera.scale = section.number("scale", camera.scale);
    camera.offset = section.number("offset", camera.offset);
    if (camera.width_px < 16 || camera.width_px > 4096 || camera.height_px < 16 || camera.height_px > 4096) {
        section.fail("width_px", "and height_px must lie between 16 and 4096");
    }
    section.finish();
    return camera;
}

BlockSpec read_block(Section section) {
    BlockSpec block;
    block.id = section.text("id", "");
    block.module_type = section.text("module_type");
    block.origin_m = vector2(section, "origin_m", {0.0, 0.0});
    block.rows = section.integer("rows", block.rows);
    block.row_pitch_m = section.number("row_pitch_m", block.row_pitch_m);
    block.row_shift_m = section.number("row_shift_m", block.row_shift_m);
    block.tables_per_row = section.integer("tables_per_row", block.tables_per_row);
    block.table_gaps_m = section.numbers("table_gaps_m", {0.6});
    block.modules_along = section.integer("modules_along");
    block.modules_up = section.integer("modules_up", block.modules_up);
    block.top = section.text("top", block.top);
    block.module_gap_m = section.number("module_gap_m", block.module_gap_m);
    block.tilt_deg = section.number("tilt_deg", block.tilt_deg);
    block.azimuth_deg = section.number("azimuth_deg", block.azimuth_deg);
    block.lower_edge_m = section.number("lower_edge_m", block.lower_edge_m);
    block.wiring = section.text("wiring", block.wiring);
    block.string_length = section.integer("string_length", 0);
    block.missing = section.texts("missing");
    const auto gaps = static_cast<int>(block.table_gaps_m.size());
    if (gaps != 1 && gaps != block.tables_per_row - 1) {
        section.fail("table_gaps_m", "must hold one gap, or one for each gap of a row");
    }
    if (block.wiring != "u" && block.wiring != "row") {
        section.fail("wiring", "must be 'u' or 'row'");
    }
    if (block.wiring == "row" && block.string_length < 1) {
        section.fail("string_length", "is needed with wiring = 'row'");
    }
    section.finish();
    return block;
}

SlabSpec read_slab(Section section) {
    SlabSpec slab;
    slab.centre_m = vector3(section, "centre_m");
    slab.width_m = section.number("width_m");
    slab.length_m = section.number("length_m");
    slab.tilt_deg = section.number("tilt_deg", 0.0);
    slab.azimuth_deg = section.number("azimuth_deg", 180.0);
    slab.above_air_k = section.number("above_air_k", slab.above_air_k);
    slab.emissivity = section.number("emissivity", slab.emissivity);
    slab.texture_k = section.number("texture_k", slab.texture_k);
    section.finish();
    return slab;
}

FlightSpec read_flight(Section section) {
    FlightSpec flight;
    flight.height_m = section.number("height_m", flight.height_m);
    flight.lane_spacing_m = section.number("lane_spacing_m", flight.lane_spacing_m);
    flight.frame_spacing_m = section.number("frame_spacing_m", flight.frame_spacing_m);
    flight.overshoot_m = section.number("overshoot_m", flight.overshoot_m);
    flight.speed_m_s = section.number("speed_m_s", flight.speed_m_s);
    flight.turn_s = section.number("turn_s", flight.turn_s);
    flight.pitch_deg = section.number("pitch_deg", flight.pitch_deg);
    flight.wobble_deg = section.number("wobble_deg", flight.wobble_deg);
    flight.yaw_wobble_deg = section.number("yaw_wobble_deg", flight.yaw_wobble_deg);
    flight.position_bias_m = section.number("position_bias_m", flight.position_bias_m);
    flight.height_bias_m = section.number("height_bias_m", flight.height_bias_m);
    flight.position_noise_m = section.number("position_noise_m", flight.position_noise_m);
    flight.yaw_noise_deg = section.number("yaw_noise_deg", flight.yaw_noise_deg);
    flight.attitude_noise_deg = section.number("attitude_noise_deg", flight.attitude_noise_deg);
    if (flight.lane_spacing_m <= 0.0 || flight.frame_spacing_m <= 0.0 || flight.speed_m_s <= 0.0) {
        section.fail("speed_m_s", "and the spacings must be positive");
    }
    section.finish();
    return flight;
}

HandheldSpec read_handheld(Section section) {
    HandheldSpec handheld;
    for (Section& station : section.sections("station")) {
        StationSpec spec;
        spec.position_m = vector3(station, "position_m");
        spec.target_m = vector3(station, "target_m");
        spec.frames = station.integer("frames", 1);
        station.finish();
        handheld.stations.push_back(spec);
    }
    handheld.position_wobble_m = section.number("position_wobble_m", handheld.position_wobble_m);
    handheld.aim_wobble_deg = section.number("aim_wobble_deg", handheld.aim_wobble_deg);
    handheld.roll_wobble_deg = section.number("roll_wobble_deg", handheld.roll_wobble_deg);
    handheld.picking_noise_px = section.number("picking_noise_px", handheld.picking_noise_px);
    handheld.interval_s = section.number("interval_s", handheld.interval_s);
    section.finish();
    return handheld;
}

ConditionsSpec read_conditions(Section section) {
    ConditionsSpec conditions;
    conditions.irradiance_w_m2 = section.number("irradiance_w_m2", conditions.irradiance_w_m2);
    conditions.drift_w_m2 = section.number("drift_w_m2", conditions.drift_w_m2);
    conditions.air_c = section.number("air_c", conditions.air_c);
    conditions.wind_m_s = section.number("wind_m_s", conditions.wind_m_s);
    conditions.gust_m_s = section.number("gust_m_s", conditions.gust_m_s);
    conditions.settling_s = section.number("settling_s", conditions.settling_s);
    for (Section& item : section.sections("dip")) {
        DipSpec dip;
        dip.from_s = item.number("from_s");
        dip.to_s = item.number("to_s");
        dip.irradiance_w_m2 = item.number("irradiance_w_m2");
        dip.edge_s = item.number("edge_s", dip.edge_s);
        item.finish();
        conditions.dips.push_back(dip);
    }
    section.finish();
    return conditions;
}

HeatSpec read_heat(Section section) {
    HeatSpec heat;
    heat.u0 = section.number("u0", heat.u0);
    heat.u1 = section.number("u1", heat.u1);
    heat.absorption = section.number("absorption", heat.absorption);
    heat.time_constant_s = section.number("time_constant_s", heat.time_constant_s);
    heat.module_spread_k = section.number("module_spread_k", heat.module_spread_k);
    heat.cell_spread_k = section.number("cell_spread_k", heat.cell_spread_k);
    heat.edge_cooling_k = section.number("edge_cooling_k", heat.edge_cooling_k);
    heat.edge_depth_m = section.number("edge_depth_m", heat.edge_depth_m);
    heat.box_warming_k = section.number("box_warming_k", heat.box_warming_k);
    heat.box_sigma_m = section.number("box_sigma_m", heat.box_sigma_m);
    heat.slope_warming_k_per_m = section.number("slope_warming_k_per_m", heat.slope_warming_k_per_m);
    heat.lateral_sigma_m = section.number("lateral_sigma_m", heat.lateral_sigma_m);
    heat.bypass_box_k = section.number("bypass_box_k", heat.bypass_box_k);
    section.finish();
    return heat;
}

SkySpec read_sky(Section section) {
    SkySpec sky;
    sky.zenith_below_air_k = section.number("zenith_below_air_k", sky.zenith_below_air_k);
    sky.horizon_below_air_k = section.number("horizon_below_air_k", sky.horizon_below_air_k);
    sky.frame_emissivity = section.number("frame_emissivity", sky.frame_emissivity);
    sky.sun_azimuth_deg = section.number("sun_azimuth_deg", sky.sun_azimuth_deg);
    sky.sun_elevation_deg = section.number("sun_elevation_deg", sky.sun_elevation_deg);
    section.finish();
    return sky;
}

GroundSpec read_ground(Section section) {
    GroundSpec ground;
    ground.above_air_k = section.number("above_air_k", ground.above_air_k);
    ground.texture_k = section.number("texture_k", ground.texture_k);
    ground.shade_k = section.number("shade_k", ground.shade_k);
    ground.emissivity = section.number("emissivity", ground.emissivity);
    section.finish();
    return ground;
}

HiddenSpec read_hidden(Section section) {
    HiddenSpec hidden;
    hidden.emissivity = section.number("emissivity", 0.0);
    hidden.sky_k = section.number("sky_k", 0.0);
    hidden.blur_share = section.number("blur_share", 0.0);
    hidden.time_constant_share = section.number("time_constant_share", 0.0);
    hidden.heat_loss_share = section.number("heat_loss_share", 0.0);
    hidden.logger_gain_share = section.number("logger_gain_share", 0.0);
    hidden.camera_gain_share = section.number("camera_gain_share", 0.0);
    section.finish();
    return hidden;
}

RandomFaults read_random_faults(Section section) {
    RandomFaults faults;
    faults.pattern = pattern_of(section, "pattern", section.text("pattern"));
    faults.count = section.integer("count");
    const auto range = section.numbers("delta_t_1000_k", {});
    if (range.size() != 2 && (!range.empty() || faults.pattern == Pattern::hot_cell)) {
        section.fail("delta_t_1000_k", "must hold the lowest and the highest difference");
    }
    faults.low_k = range.empty() ? kNaN : range[0];
    faults.high_k = range.empty() ? kNaN : range[1];
    section.finish();
    return faults;
}

FaultSpec read_fault(Section section) {
    FaultSpec fault;
    fault.pattern = pattern_of(section, "pattern", section.text("pattern"));
    fault.module = section.text("module", "");
    fault.string = section.text("string", "");
    fault.cell = section.text("cell", "");
    fault.substring = section.integer("substring", 0);
    fault.delta_t_1000_k = section.number("delta_t_1000_k", kNaN);
    const bool on_string = fault.pattern == Pattern::string_warm_cause_open;
    if (on_string == fault.string.empty() || on_string != fault.module.empty()) {
        section.fail(on_string ? "string" : "module", "must name where the fault lies");
    }
    if (fault.pattern == Pattern::hot_cell && (fault.cell.empty() || std::isnan(fault.delta_t_1000_k))) {
        section.fail("cell", "and delta_t_1000_k are needed for a hot cell");
    }
    if (fault.pattern == Pattern::substring_bypassed && fault.substring < 1) {
        section.fail("substring", "is needed");
    }
    section.finish();
    return fault;
}

DecoySpec read_decoy(Section section) {
    DecoySpec decoy;
    decoy.kind = section.text("kind");
    if (decoy.kind != "animal" && decoy.kind != "box" && decoy.kind != "gravel") {
        section.fail("kind", "must be 'animal', 'box' or 'gravel'");
    }
    decoy.position_m = vector2(section, "position_m", {});
    decoy.above_air_k = section.number("above_air_k", decoy.above_air_k);
    decoy.size_m = section.number("size_m", decoy.size_m);
    section.finish();
    return decoy;
}

ScopeSpec read_scope(Section& root) {
    ScopeSpec scope;
    auto limits = root.section("limits_k");
    if (!limits) {
        root.fail("limits_k", "is missing");
    }
    for (const Pattern pattern : {Pattern::hot_cell,
                                  Pattern::substring_bypassed,
                                  Pattern::open_circuit_module,
                                  Pattern::string_warm_cause_open}) {
        scope.limits_k[pattern] = limits->number(heatrow::to_string(pattern));
    }
    limits->finish();
    if (auto section = root.section("scope")) {
        scope.factor = section->number("factor", scope.factor);
        scope.minimum_frames = section->integer("minimum_frames", scope.minimum_frames);
        scope.minimum_irradiance_w_m2 = section->number("minimum_irradiance_w_m2", scope.minimum_irradiance_w_m2);
        section->finish();
    }
    return scope;
}

void read_head(Section& root, SceneSpec& scene) {
    auto section = root.section("scene");
    if (!section) {
        root.fail("scene", "is missing");
    }
    scene.id = section->text("id");
    scene.title = section->text("title", scene.id);
    scene.seed = static_cast<std::uint64_t>(section->integer("seed", 1));
    scene.longitude_deg = section->number("longitude");
    scene.latitude_deg = section->number("latitude");
    const auto parsed = heatrow::parse_iso8601(section->text("start_utc"));
    if (!parsed) {
        section->fail("start_utc", "must be a date and time such as 2026-06-17T11:00:00");
    }
    scene.start = heatrow::UtcTime(parsed->written.time_since_epoch());
    for (const std::string& folder : section->texts("module_types")) {
        scene.type_folders.push_back(scene.file.parent_path() / folder);
    }
    scene.profile = section->text("profile", "");
    if (section->has("declared_emissivity")) {
        scene.declared_emissivity = section->number("declared_emissivity");
    }
    if (section->has("declared_reflected_c")) {
        scene.declared_reflected_c = section->number("declared_reflected_c");
    }
    section->finish();
}

}  // namespace

SceneSpec read_scene(const std::filesystem::path& file) {
    const toml::table table = parse_toml(file);
    Section root(table, "", file);
    SceneSpec scene;
    scene.file = file;
    read_head(root, scene);
    const auto maybe = [&root](std::string_view key, auto read, auto& target) {
        if (auto section = root.section(key)) {
            target = read(*section);
        }
    };
    maybe("camera", read_camera, scene.camera);
    maybe("conditions", read_conditions, scene.conditions);
    maybe("heat", read_heat, scene.heat);
    maybe("sky", read_sky, scene.sky);
    maybe("ground", read_ground, scene.ground);
    maybe("hidden", read_hidden, scene.hidden);
    maybe("flight", read_flight, scene.flight);
    maybe("handheld", read_handheld, scene.handheld);
    const auto each = [&root](std::string_view key, auto read, auto& target) {
        for (const Section& section : root.sections(key)) {
            target.push_back(read(section));
        }
    };
    each("block", read_block, scene.blocks);
    each("slab", read_slab, scene.slabs);
    each("random_faults", read_random_faults, scene.random_faults);
    each("fault", read_fault, scene.faults);
    each("decoy", read_decoy, scene.decoys);
    scene.scope = read_scope(root);
    if (scene.blocks.empty()) {
        root.fail("block", "is missing: a scene needs at least one");
    }
    if (scene.flight.has_value() == scene.handheld.has_value()) {
        root.fail("flight", "or handheld must be given, one of them");
    }
    root.finish();
    return scene;
}

}  // namespace scene
