// The camera of a scene: [camera] of scene.toml.
#pragma once

#include "frame_encoding.hpp"

#include <Eigen/Core>

#include <array>
#include <string>

namespace scene {

class Section;

struct CameraSpec {
    int width_px = 640;
    int height_px = 512;
    double focal_px = 1125.0;
    double stated_focal_px = 1125.0;  // what survey.toml says
    bool refine = false;              // and whether it asks for the lens to be solved
    Eigen::Vector2d principal_point_px{319.5, 255.5};
    std::array<double, 5> distortion{};  // k1, k2, p1, p2, k3

    double blur_sigma_px = 0.5;  // Gaussian that stands for optics and pixel together; 0 = no blur, no smear
    bool diffraction = true;     // else that Gaussian itself
    double f_number = 1.0;
    double pixel_um = 12.0;     // pitch
    double stray_light = 0.01;  // share of the light that is spread over tens of pixels, beyond diffraction's own
    double time_constant_ms = 10.0;

    double noise_k = 0.05;          // at 30 degC, in time
    double row_noise_k = 0.005;     // of whole rows, in time
    double fixed_pattern_k = 0.02;  // from pixel to pixel
    double row_pattern_k = 0.005;   // of whole rows and columns, standing
    double column_pattern_k = 0.01;
    double vignetting_k = 0.2;  // how much colder the corners read
    double shutter_interval_s = 150.0;
    double shutter_jump_k = 0.15;    // standard deviation of the offset that each shutter event leaves
    double drift_k_per_min = 0.15;   // standard deviation of the rate until the next one
    double replaced_pixels = 0.002;  // share that the camera fills from its neighbours
    double dead_pixels = 0.00001;    // share that stands still, not noticed by the camera
    double range_low_c = -40.0;      // of readings: beyond, the end is written
    double range_high_c = 160.0;

    FrameEncoding encoding = find_encoding("kelvin_100");
    std::string compression = "DEFLATE";  // as the TIFF driver names it
    bool big_endian = false;
};

CameraSpec read_camera(Section section);

}  // namespace scene
