#include "camera_spec.hpp"

#include "toml_section.hpp"

#include <algorithm>

namespace scene {

CameraSpec read_camera(Section section) {
    CameraSpec camera;
    camera.width_px = section.integer("width_px", camera.width_px);
    camera.height_px = section.integer("height_px", camera.height_px);
    camera.focal_px = section.number("focal_px", camera.focal_px);
    camera.principal_point_px =
        section.vector2("principal_point_px", {(camera.width_px - 1) / 2.0, (camera.height_px - 1) / 2.0});
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

}  // namespace scene
