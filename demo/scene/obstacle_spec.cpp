#include "obstacle_spec.hpp"

#include "toml_section.hpp"

namespace scene {

ObstacleSpec read_obstacle(Section section) {
    ObstacleSpec obstacle;
    obstacle.kind = section.text("kind");
    if (obstacle.kind != "post" && obstacle.kind != "wall" && obstacle.kind != "bush") {
        section.fail("kind", "must be 'post', 'wall' or 'bush'");
    }
    obstacle.width_m = obstacle.kind == "post" ? 0.12 : 2.0;
    obstacle.position_m = section.vector2("position_m", {});
    obstacle.height_m = section.number("height_m", obstacle.height_m);
    obstacle.width_m = section.number("width_m", obstacle.width_m);
    obstacle.base_m = section.number("base_m", obstacle.base_m);
    obstacle.above_air_k = section.number("above_air_k", obstacle.above_air_k);
    if (!(obstacle.height_m > 0.0 && obstacle.width_m > 0.0)) {
        section.fail("height_m", "and width_m must be above 0");
    }
    section.finish();
    return obstacle;
}

OnModuleSpec read_on_module(Section section) {
    OnModuleSpec thing;
    thing.kind = section.text("kind");
    if (thing.kind != "cable" && thing.kind != "animal" && thing.kind != "leaves") {
        section.fail("kind", "must be 'cable', 'animal' or 'leaves'");
    }
    if (thing.kind != "cable") {
        thing.length_m = 0.4;
        thing.width_m = 0.25;
    }
    thing.module = section.text("module");
    thing.place = section.vector2("place", {0.5, 0.5});
    thing.length_m = section.number("length_m", thing.length_m);
    thing.width_m = section.number("width_m", thing.width_m);
    thing.turn_deg = section.number("turn_deg", thing.turn_deg);
    thing.above_air_k = section.number("above_air_k", thing.above_air_k);
    if (!(thing.length_m > 0.0 && thing.width_m > 0.0)) {
        section.fail("length_m", "and width_m must be above 0");
    }
    section.finish();
    return thing;
}

}  // namespace scene
