#include "scene_spec.hpp"

#include "sun_direction.hpp"
#include "toml_section.hpp"

namespace scene {
namespace {

void read_head(Section& root, SceneSpec& scene) {
    auto section = root.section("scene");
    if (!section) {
        root.fail("scene", "is missing");
    }
    scene.id = section->text("id");
    scene.title = section->text("title", scene.id);
    scene.seed = static_cast<std::uint64_t>(section->integer("seed", 1));
    scene.medium = section->boolean("medium", false);
    scene.expected = section->text("expected", scene.expected);
    if (scene.expected != "named" && scene.expected != "refused") {
        section->fail("expected", "must be 'named' or 'refused'");
    }
    scene.longitude_deg = section->number("longitude");
    scene.latitude_deg = section->number("latitude");
    scene.start = read_utc(*section, "start_utc");
    for (const std::string& folder : section->texts("module_types")) {
        scene.type_folders.push_back(scene.file.parent_path() / folder);
    }
    scene.profile = section->text("profile", "");
    if (section->has("declared_emissivity")) {
        scene.declared_emissivity = section->number("declared_emissivity");
    }
    scene.declared_logger_tolerance =
        section->number("declared_logger_tolerance", scene.declared_logger_tolerance);
    scene.known_pixels = section->integer("known_pixels", 0);
    if (section->has("specific_yield_kwh_kw")) {
        scene.specific_yield_kwh_kw = section->number("specific_yield_kwh_kw");
    }
    if (section->has("declared_reflected_c")) {
        scene.declared_reflected_c = section->number("declared_reflected_c");
    }
    section->finish();
}

}  // namespace

void put_sun(SceneSpec& scene) {
    if (!scene.sky.sun_given) {
        const SunDirection sun = sun_direction(scene.start, scene.longitude_deg, scene.latitude_deg);
        scene.sky.sun_azimuth_deg = sun.azimuth_deg;
        scene.sky.sun_elevation_deg = sun.elevation_deg;
    }
}

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
    maybe("visible", read_visible, scene.visible);
    maybe("mosaic", read_mosaic, scene.mosaic);
    maybe("conditions", read_conditions, scene.conditions);
    maybe("heat", read_heat, scene.heat);
    maybe("sky", read_sky, scene.sky);
    put_sun(scene);
    maybe("air", read_air, scene.air);
    maybe("operator", read_operator, scene.person);
    maybe("ground", read_ground, scene.ground);
    maybe("hidden", read_hidden, scene.hidden);
    for (const Section& flight : root.one_or_more("flight")) {
        scene.flights.push_back(read_flight(flight));
    }
    maybe("terrain", read_terrain, scene.terrain);
    maybe("layout_error", read_layout_error, scene.layout_error);
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
    each("obstacle", read_obstacle, scene.obstacles);
    each("on_module", read_on_module, scene.on_modules);
    scene.scope = read_scope(root);
    for (const Section& season : root.sections("season")) {
        scene.seasons.push_back(read_season(season, scene.seasons.empty()));
    }
    if (scene.seasons.size() == 1) {
        root.fail("season", "must be there twice or more: the first one, then those that differ from it");
    }
    if (scene.blocks.empty()) {
        root.fail("block", "is missing: a scene needs at least one");
    }
    if (scene.flights.empty() != scene.handheld.has_value()) {
        root.fail("flight", "or handheld must be given, one of them");
    }
    root.finish();
    return scene;
}

}  // namespace scene
