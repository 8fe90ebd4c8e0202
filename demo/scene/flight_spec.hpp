// How the frames are taken: [flight] or [handheld] of scene.toml.
#pragma once

#include <Eigen/Core>

#include <vector>

namespace scene {

class Section;

struct FlightSpec {
    double height_m = 34.0;  // above the mean height of the modules
    double lane_spacing_m = 9.0;
    double frame_spacing_m = 2.5;
    double overshoot_m = 4.0;  // first and last frame of a lane beyond the row's end
    double speed_m_s = 3.0;
    double turn_s = 12.0;
    double pitch_deg = 0.0;
    double wobble_deg = 0.8;  // of roll and pitch, standard deviation
    double yaw_wobble_deg = 1.5;
    double position_bias_m = 1.0;  // length, in a random direction
    double height_bias_m = 0.3;    // standard deviation
    double position_noise_m = 0.03;
    double yaw_noise_deg = 0.2;
    double attitude_noise_deg = 0.1;
};

struct StationSpec {
    Eigen::Vector3d position_m{0.0, 0.0, 0.0};
    Eigen::Vector3d target_m{0.0, 0.0, 0.0};
    int frames = 1;
};

struct HandheldSpec {
    std::vector<StationSpec> stations;
    double position_wobble_m = 0.15;
    double aim_wobble_deg = 0.8;
    double roll_wobble_deg = 1.5;
    double picking_noise_px = 0.3;
    double interval_s = 6.0;
};

FlightSpec read_flight(Section section);
HandheldSpec read_handheld(Section section);

}  // namespace scene
