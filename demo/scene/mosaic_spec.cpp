#include "mosaic_spec.hpp"

#include "toml_section.hpp"

namespace scene {

MosaicSpec read_mosaic(Section section) {
    MosaicSpec mosaic;
    mosaic.pixel_m = section.number("pixel_m", mosaic.pixel_m);
    mosaic.offset_m = section.vector2("offset_m", {0.0, 0.0});
    mosaic.scale = section.number("scale", mosaic.scale);
    mosaic.turn_deg = section.number("turn_deg", mosaic.turn_deg);
    if (!(mosaic.pixel_m > 0.0) || !(mosaic.scale > 0.0)) {
        section.fail("pixel_m", "and scale must be greater than 0");
    }
    section.finish();
    return mosaic;
}

}  // namespace scene
