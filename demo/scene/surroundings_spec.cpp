#include "surroundings_spec.hpp"

#include "toml_section.hpp"

namespace scene {

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
