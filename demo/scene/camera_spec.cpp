#include "camera_spec.hpp"

#include "toml_section.hpp"

#include <algorithm>

namespace scene {
namespace {

void not_negative(Section& section, const char* key, double& value) {
    value = section.number(key, value);
    if (value < 0.0) {
        section.fail(key, "must not be negative");
    }
}

void share(Section& section, const char* key, double& value) {
    not_negative(section, key, value);
    if (value > 0.5) {
        section.fail(key, "is a share: at most 0.5");
    }
}

void read_optics(Section& section, CameraSpec& camera) {
    not_negative(section, "blur_sigma_px", camera.blur_sigma_px);
    const std::string shape = section.text("point_spread", "diffraction");
    if (shape != "diffraction" && shape != "gaussian") {
        section.fail("point_spread", "must be 'diffraction' or 'gaussian'");
    }
    camera.diffraction = shape == "diffraction";
    camera.f_number = section.number("f_number", camera.f_number);
    camera.pixel_um = section.number("pixel_um", camera.pixel_um);
    if (camera.f_number < 0.5 || camera.f_number > 4.0) {
        section.fail("f_number", "must lie between 0.5 and 4");
    }
    if (camera.pixel_um < 5.0 || camera.pixel_um > 60.0) {
        section.fail("pixel_um", "must lie between 5 and 60");
    }
    share(section, "stray_light", camera.stray_light);
    not_negative(section, "time_constant_ms", camera.time_constant_ms);
}

void read_detector(Section& section, CameraSpec& camera) {
    not_negative(section, "noise_k", camera.noise_k);
    not_negative(section, "row_noise_k", camera.row_noise_k);
    not_negative(section, "fixed_pattern_k", camera.fixed_pattern_k);
    not_negative(section, "row_pattern_k", camera.row_pattern_k);
    not_negative(section, "column_pattern_k", camera.column_pattern_k);
    camera.vignetting_k = section.number("vignetting_k", camera.vignetting_k);
    camera.shutter_interval_s = section.number("shutter_interval_s", camera.shutter_interval_s);
    if (camera.shutter_interval_s < 1.0) {
        section.fail("shutter_interval_s", "must be at least 1");
    }
    not_negative(section, "shutter_jump_k", camera.shutter_jump_k);
    not_negative(section, "drift_k_per_min", camera.drift_k_per_min);
    share(section, "replaced_pixels", camera.replaced_pixels);
    share(section, "dead_pixels", camera.dead_pixels);
    const auto range = section.numbers_of("range_c", 2, {camera.range_low_c, camera.range_high_c});
    camera.range_low_c = range[0];
    camera.range_high_c = range[1];
    if (camera.range_low_c >= camera.range_high_c) {
        section.fail("range_c", "must go up");
    }
}

void read_file_form(Section& section, CameraSpec& camera) {
    camera.encoding = find_encoding(section.text("encoding", camera.encoding.name));
    if (camera.encoding.name.empty()) {
        section.fail("encoding", "must be one of " + encoding_names());
    }
    for (const char* key : {"scale", "offset"}) {
        if (section.has(key) && !camera.encoding.tags) {
            section.fail(key, "is for encoding = 'scaled' alone; the others have theirs");
        }
    }
    camera.encoding.scale = section.number("scale", camera.encoding.scale);
    camera.encoding.offset = section.number("offset", camera.encoding.offset);
    if (camera.encoding.scale <= 0.0) {
        section.fail("scale", "must be positive");
    }
    camera.compression = section.text("compression", camera.compression);
    const std::array<const char*, 3> known{"DEFLATE", "LZW", "NONE"};
    if (std::ranges::find(known, camera.compression) == known.end()) {
        section.fail("compression", "must be 'DEFLATE', 'LZW' or 'NONE'");
    }
    camera.big_endian = section.boolean("big_endian", camera.big_endian);
}

}  // namespace

CameraSpec read_camera(Section section) {
    CameraSpec camera;
    camera.width_px = section.integer("width_px", camera.width_px);
    camera.height_px = section.integer("height_px", camera.height_px);
    camera.focal_px = section.number("focal_px", camera.focal_px);
    camera.stated_focal_px = section.number("stated_focal_px", camera.focal_px);
    camera.refine = section.boolean("refine", false);
    camera.principal_point_px =
        section.vector2("principal_point_px", {(camera.width_px - 1) / 2.0, (camera.height_px - 1) / 2.0});
    const auto distortion = section.numbers_of("distortion", 5, {0.0, 0.0, 0.0, 0.0, 0.0});
    std::copy(distortion.begin(), distortion.end(), camera.distortion.begin());
    if (camera.width_px < 16 || camera.width_px > 4096 || camera.height_px < 16 || camera.height_px > 4096) {
        section.fail("width_px", "and height_px must lie between 16 and 4096");
    }
    read_optics(section, camera);
    read_detector(section, camera);
    read_file_form(section, camera);
    section.finish();
    return camera;
}

}  // namespace scene
