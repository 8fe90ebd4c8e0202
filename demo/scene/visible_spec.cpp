#include "visible_spec.hpp"

#include "toml_section.hpp"

namespace scene {

VisibleSpec read_visible(Section section) {
    VisibleSpec visible;
    visible.width_px = section.integer("width_px", visible.width_px);
    visible.height_px = section.integer("height_px", visible.height_px);
    visible.focal_px = section.number("focal_px", visible.focal_px);
    constexpr int kMost = 20000;
    if (visible.width_px < 1 || visible.height_px < 1 || visible.width_px > kMost || visible.height_px > kMost ||
        visible.focal_px <= 0.0) {
        section.fail("width_px", "height_px and focal_px must be those of a camera");
    }
    if (section.has("offset_m")) {
        visible.offset_m = section.vector3("offset_m");
    }
    visible.delay_s = section.number("delay_s", visible.delay_s);
    visible.format = section.text("format", visible.format);
    if (visible.format != "jpeg" && visible.format != "png") {
        section.fail("format", "must be 'jpeg' or 'png'");
    }
    visible.jpeg_quality = section.integer("jpeg_quality", visible.jpeg_quality);
    if (visible.jpeg_quality < 1 || visible.jpeg_quality > 100) {
        section.fail("jpeg_quality", "must lie between 1 and 100");
    }
    section.finish();
    return visible;
}

}  // namespace scene
