// A scene as described by scene.toml; every key is explained in docs/scenes.md.
#pragma once

#include "heatrow/core/finding.hpp"
#include "heatrow/core/time.hpp"

#include <Eigen/Core>

#include <array>
#include <cstdint>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace scene {

struct CameraSpec {
    int width_px = 640;
    int height_px = 512;
    double focal_px = 1125.0;
    Eigen::Vector2d principal_point_px{319.5, 255.5};
    std::array<double, 5> distortion{};  // k1, k2, p1, p2, k3
    double blur_sigma_px = 0.5;          // optics and pixel together
    double time_constant_ms = 10.0;
    double noise_k = 0.05;
    double fixed_pattern_k = 0.02;
    double vignetting_k = 0.2;  // how much colder the corners read
    double scale = 0.01;        // degC per count
    double offset = -273.15;    // degC at count 0
};

struct BlockSpec {
    std::string id;
    std::string module_type;
    Eigen::Vector2d origin_m{0.0, 0.0};  // east, north of the lower left corner of the first table
    int rows = 1;
    double row_pitch_m = 7.0;
    double row_shift_m = 0.0;  // along the row, from one row to the next
    int tables_per_row = 1;
    std::vector<double> table_gaps_m;  // one for all gaps, or one each
    int modules_along = 1;
    int modules_up = 1;
    std::string top = "up";  // where the type's `top` points
    double module_gap_m = 0.02;
    double tilt_deg = 25.0;
    double azimuth_deg = 180.0;
    double lower_edge_m = 0.7;         // height of the lower edge above ground
    std::string wiring = "u";          // "u": a string a table; "row": along one tier of a row
    int string_length = 0;             // for "row"
    std::vector<std::string> missing;  // ids of modules that are not there
};

// A flat rectangle beside the tables: a roof, the wall of a box.
struct SlabSpec {
    Eigen::Vector3d centre_m{0.0, 0.0, 0.0};
    double width_m = 1.0;   // across the slope
    double length_m = 1.0;  // up the slope
    double tilt_deg = 0.0;
    double azimuth_deg = 180.0;
    double above_air_k = 10.0;
    double emissivity = 0.92;
    double texture_k = 0.5;
};

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

// A cloud passing: irradiance falls and comes back.
struct DipSpec {
    double from_s = 0.0;  // after the first frame
    double to_s = 0.0;
    double irradiance_w_m2 = 400.0;
    double edge_s = 20.0;
};

struct ConditionsSpec {
    double irradiance_w_m2 = 900.0;
    double drift_w_m2 = 10.0;  // amplitude of the slow change
    double air_c = 24.0;
    double wind_m_s = 2.0;
    double gust_m_s = 0.3;       // standard deviation
    double settling_s = 1200.0;  // the log begins this long before the first frame
    std::vector<DipSpec> dips;
};

struct HeatSpec {
    double u0 = 25.0;  // W/m2K, Faiman
    double u1 = 6.84;  // W s/m3K
    double absorption = 0.9;
    double time_constant_s = 300.0;
    double module_spread_k = 0.6;
    double cell_spread_k = 0.4;
    double edge_cooling_k = 0.8;
    double edge_depth_m = 0.06;
    double box_warming_k = 1.0;
    double box_sigma_m = 0.05;
    double slope_warming_k_per_m = 0.3;
    double lateral_sigma_m = 0.025;
    double bypass_box_k = 3.0;  // extra warming of the box whose diode conducts
};

struct SkySpec {
    double zenith_below_air_k = 45.0;
    double horizon_below_air_k = 3.0;
    double frame_emissivity = 0.3;
    double sun_azimuth_deg = 165.0;
    double sun_elevation_deg = 58.0;
};

struct GroundSpec {
    double above_air_k = 6.0;
    double texture_k = 1.5;
    double shade_k = 7.0;  // how much cooler where tables shade it
    double emissivity = 0.95;
};

// Half widths of the hidden draws that never reach survey.toml.
struct HiddenSpec {
    double emissivity = 0.0;
    double sky_k = 0.0;
    double blur_share = 0.0;
    double time_constant_share = 0.0;
    double heat_loss_share = 0.0;
    double logger_gain_share = 0.0;
    double camera_gain_share = 0.0;
};

// Faults drawn at random: how many, and how strong at 1000 W/m2 where that is free to choose.
struct RandomFaults {
    heatrow::Pattern pattern = heatrow::Pattern::hot_cell;
    int count = 0;
    double low_k = 0.0;  // NaN: by the energy balance
    double high_k = 0.0;
};

struct FaultSpec {
    heatrow::Pattern pattern = heatrow::Pattern::hot_cell;
    std::string module;
    std::string string;
    std::string cell;
    int substring = 0;
    double delta_t_1000_k = 0.0;  // NaN: by the energy balance
};

struct DecoySpec {
    std::string kind;  // "animal", "box", "gravel"
    Eigen::Vector2d position_m{0.0, 0.0};
    double above_air_k = 14.0;
    double size_m = 1.0;
};

struct ScopeSpec {
    std::map<heatrow::Pattern, double> limits_k;
    double factor = 1.2;
    int minimum_frames = 3;
    double minimum_irradiance_w_m2 = 600.0;
};

struct SceneSpec {
    std::filesystem::path file;
    std::string id;
    std::string title;
    std::uint64_t seed = 1;
    std::vector<std::filesystem::path> type_folders;
    double longitude_deg = 0.0;
    double latitude_deg = 0.0;
    heatrow::UtcTime start{};
    std::string profile;                         // written to survey.toml where given
    std::optional<double> declared_emissivity;   // the same
    std::optional<double> declared_reflected_c;  // the same
    CameraSpec camera;
    std::vector<BlockSpec> blocks;
    std::vector<SlabSpec> slabs;
    std::optional<FlightSpec> flight;
    std::optional<HandheldSpec> handheld;
    ConditionsSpec conditions;
    HeatSpec heat;
    SkySpec sky;
    GroundSpec ground;
    HiddenSpec hidden;
    std::vector<RandomFaults> random_faults;
    std::vector<FaultSpec> faults;
    std::vector<DecoySpec> decoys;
    ScopeSpec scope;
};

SceneSpec read_scene(const std::filesystem::path& file);

}  // namespace scene
