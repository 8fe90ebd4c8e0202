// How the frames are taken: [flight], [[flight]] or [handheld] of scene.toml.
#pragma once

#include <Eigen/Core>

#include <string>
#include <vector>

namespace scene {

class Section;

// How the writer of the log misunderstood the pose (docs/conventions.md has the right form).
enum class PoseConvention {
    right,
    nadir_minus_90,  // pitch is -90 straight down
    roll_180,        // a gimbal that counts its roll from upside down
    yaw_of_body,     // the airframe's heading, which crabs in the wind, not the camera's
    no_attitude,     // angles missing
};

struct FlightSpec {
    double pause_s = 300.0;            // since the end of the flight before
    Eigen::Vector2d across{0.0, 1.0};  // share of the site's width that this flight covers
    double heading_offset_deg = 0.0;   // of the lanes against the rows
    bool follow_terrain = false;       // height_m over the modules nearby, not over the mean of all
    std::vector<double> lost_frames;   // first and last number, from 1, of the frames that were not stored
    double height_m = 34.0;            // above the mean height of the modules
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
    double position_walk_m = 0.0;        // the bias wanders: off by this much, rms, after ten minutes
    double position_walk_limit_m = 6.0;  // and turns back where bias and walk together are this long
    double height_offset_m = 0.0;        // the logged height is so much too great
    double yaw_bias_deg = 0.0;           // standard deviations of constant errors of the logged yaw
    std::vector<double> boresight_deg{
        0.0, 0.0, 0.0};              // camera against airframe: yaw, pitch, roll; the log has the latter
    double clock_ahead_s = 0.0;      // of the stamped times, not told in survey.toml
    double position_lag_s = 0.0;     // the log holds the position of so much earlier
    double missing_fix_share = 0.0;  // of frames, logged without a position
    double zero_fix_share = 0.0;     // of frames, logged at 0 degrees, 0 degrees
    PoseConvention convention = PoseConvention::right;
    double jerk_share = 0.0;   // of frames, taken while the camera jerks:
    double jerk_factor = 6.0;  // the picture moves so many times as fast
    double crab_deg = 15.0;    // of the airframe, with yaw_of_body
};

struct StationSpec {
    Eigen::Vector3d position_m{0.0, 0.0, 0.0};
    Eigen::Vector3d target_m{0.0, 0.0, 0.0};
    Eigen::Vector3d to_position_m{0.0, 0.0, 0.0};  // a walk from the one to the other; the same = standing
    Eigen::Vector3d to_target_m{0.0, 0.0, 0.0};
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
