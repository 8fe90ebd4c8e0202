#include "surroundings_spec.hpp"

#include "toml_section.hpp"

#include <fmt/format.h>

namespace scene {

namespace {

double number_within(Section& section, const char* key, double fallback, double low, double high) {
    const double value = section.number(key, fallback);
    if (value < low || value > high) {
        section.fail(key, fmt::format("must lie between {} and {}", low, high));
    }
    return value;
}

CloudSpec read_cloud(Section section) {
    CloudSpec cloud;
    cloud.azimuth_deg = section.number("azimuth_deg");
    cloud.elevation_deg = number_within(section, "elevation_deg", cloud.elevation_deg, 0.0, 90.0);
    cloud.width_deg = number_within(section, "width_deg", cloud.width_deg, 0.1, 180.0);
    cloud.edge_deg = number_within(section, "edge_deg", cloud.edge_deg, 0.0, 90.0);
    cloud.below_air_k = section.number("below_air_k", cloud.below_air_k);
    cloud.opacity = number_within(section, "opacity", cloud.opacity, 0.0, 1.0);
    section.finish();
    return cloud;
}

}  // namespace

SkySpec read_sky(Section section) {
    SkySpec sky;
    sky.zenith_below_air_k = section.number("zenith_below_air_k", sky.zenith_below_air_k);
    sky.horizon_below_air_k = section.number("horizon_below_air_k", sky.horizon_below_air_k);
    if (sky.horizon_below_air_k > sky.zenith_below_air_k) {
        section.fail("zenith_below_air_k", "must not be less than horizon_below_air_k");
    }
    sky.frame_emissivity = number_within(section, "frame_emissivity", sky.frame_emissivity, 0.0, 1.0);
    sky.sun_given = section.has("sun_azimuth_deg") || section.has("sun_elevation_deg");
    if (sky.sun_given) {
        sky.sun_azimuth_deg = section.number("sun_azimuth_deg");
        sky.sun_elevation_deg = section.number("sun_elevation_deg");
    }
    sky.glint_lobe_deg = number_within(section, "glint_lobe_deg", sky.glint_lobe_deg, 0.0, 40.0);
    sky.frame_lobe_deg = number_within(section, "frame_lobe_deg", sky.frame_lobe_deg, 0.0, 40.0);
    sky.module_lean_deg = number_within(section, "module_lean_deg", sky.module_lean_deg, 0.0, 10.0);
    sky.cloud_cover = number_within(section, "cloud_cover", sky.cloud_cover, 0.0, 1.0);
    sky.cloud_below_air_k = section.number("cloud_below_air_k", sky.cloud_below_air_k);
    sky.cloud_base_m = number_within(section, "cloud_base_m", sky.cloud_base_m, 10.0, 15000.0);
    sky.cloud_size_m = number_within(section, "cloud_size_m", sky.cloud_size_m, 10.0, 20000.0);
    sky.cloud_edge = number_within(section, "cloud_edge", sky.cloud_edge, 0.0, 2.0);
    sky.cloud_speed_m_s = section.number("cloud_speed_m_s", sky.cloud_speed_m_s);
    sky.cloud_toward_deg = section.number("cloud_toward_deg", sky.cloud_toward_deg);
    for (const Section& item : section.sections("cloud")) {
        sky.clouds.push_back(read_cloud(item));
    }
    section.finish();
    return sky;
}

AirSpec read_air(Section section) {
    AirSpec air;
    air.relative_humidity = number_within(section, "relative_humidity", air.relative_humidity, 0.0, 1.0);
    section.finish();
    return air;
}

OperatorSpec read_operator(Section section) {
    OperatorSpec person;
    person.present = section.boolean("present", person.present);
    person.height_m = number_within(section, "height_m", person.height_m, 0.5, 2.5);
    person.width_m = number_within(section, "width_m", person.width_m, 0.1, 1.5);
    person.clothes_above_air_k = section.number("clothes_above_air_k", person.clothes_above_air_k);
    person.skin_c = section.number("skin_c", person.skin_c);
    section.finish();
    return person;
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

DecoySpec read_decoy(Section section) {
    DecoySpec decoy;
    decoy.kind = section.text("kind");
    if (decoy.kind != "animal" && decoy.kind != "box" && decoy.kind != "gravel") {
        section.fail("kind", "must be 'animal', 'box' or 'gravel'");
    }
    decoy.position_m = section.vector2("position_m", {});
    decoy.above_air_k = section.number("above_air_k", decoy.above_air_k);
    decoy.size_m = section.number("size_m", decoy.size_m);
    section.finish();
    return decoy;
}

}  // namespace scene
