// Limits and rules: every threshold of the program, read from a versioned profile file (docs/formats/profile.md), each
// with its source.
#pragma once

#include "heatrow/core/finding.hpp"
#include "heatrow/core/units.hpp"

#include <array>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// One value of a profile, with where it comes from.
struct ProfileValue {
    double value = 0.0;
    std::string source;
};

// The rule on the difference of one pattern, at 1000 W/m2.
struct PatternRule {
    KelvinDelta class_2_from{kNaN};  // NaN: the pattern never gets this class by its difference
    KelvinDelta class_3_from{kNaN};
    double exponent = 1.0;      // of the scaling with irradiance
    double exponent_low = 1.0;  // range, enters the uncertainty
    double exponent_high = 1.0;
    std::string source;
};

struct Profile {
    std::string id;
    std::string version;
    std::string title;

    // [limits]: conditions of the survey
    ProfileValue minimum_irradiance_w_m2;
    ProfileValue maximum_wind_m_s;
    ProfileValue maximum_irradiance_change_per_minute;  // share of the irradiance
    ProfileValue settling_time_min;                     // wait after such a change
    ProfileValue maximum_cloud_okta;
    ProfileValue minimum_load_fraction;  // below it, where known, nothing is assessed

    // [views]
    ProfileValue minimum_elevation_to_plane_deg;  // least angle between line of sight and module plane
    ProfileValue minimum_pixels_per_cell;         // across the shorter side; fewer are flagged
    ProfileValue least_pixels_per_cell;           // across the shorter side; fewer are not sampled at all
    ProfileValue maximum_smear_px;
    ProfileValue
        most_smear_cells;  // sides of a cell along the trail; a module that only longer trails show is not assessed
    ProfileValue view_scatter_k;  // of one cell between views, assumed where views are too few to show it

    // [placement]: surveyed corners of modules against the layout
    ProfileValue maximum_layout_shift_m;     // that the layout as a whole is corrected by
    ProfileValue maximum_corner_residual_m;  // of a surveyed corner after that

    // [radiometry]
    ProfileValue glass_by_angle;         // 1: front glass by view angle (Fresnel); 0: glass_emissivity at every angle
    ProfileValue glass_emissivity;       // also where the camera's band leaves the published optical constants
    ProfileValue polymer_emissivity;     // of a polymer front
    ProfileValue emissivity_u;           // standard uncertainty, of any surface
    ProfileValue front_emissivity_u;     // of the front of modules
    ProfileValue sky_zenith_emissivity;  // of the clear sky in the camera's band, where no reflected temperature
                                         // was measured (radiometry/sky.hpp)
    ProfileValue ground_above_air_k;     // apparent temperature of the ground that a module mirrors, above the air's, K
    ProfileValue reflected_u_k;          // standard uncertainty of the reflected temperature, K
    ProfileValue
        reflected_by_direction;  // 1: a stated one is the sky's mean and taken to each direction; 0: as it stands
    ProfileValue assumed_humidity_percent;  // of the air path where none was logged; 0: the path stays in
    ProfileValue air_path_u;                // standard uncertainty of what the path takes and adds, share of it
    ProfileValue air_path_h0;               // constants of the air path (radiometry/air.hpp)
    ProfileValue air_path_h1;
    ProfileValue air_path_h2;
    ProfileValue air_path_h3;
    ProfileValue air_path_x;
    ProfileValue air_path_alpha1;
    ProfileValue air_path_alpha2;
    ProfileValue air_path_beta1;
    ProfileValue air_path_beta2;
    ProfileValue camera_offset_u_k;  // standard uncertainty of the camera's offset, K
    ProfileValue camera_gain_u;      // and of its gain, share of a difference
    ProfileValue point_spread_u;     // of the width of its point spread, share
    ProfileValue time_constant_u;    // of its detector's time constant, share
    ProfileValue size_of_source_u;   // of what a cell's difference loses to light strayed beyond the fit, share
    ProfileValue cell_heat_u;        // of a cell's mean from its inside, as heat spreads in the sheet, share
    ProfileValue absorbed_fraction;  // share of the irradiance that a module absorbs
    ProfileValue plausible_low_c;    // a frame whose median lies outside, or whose 99th percentile lies above, was
    ProfileValue plausible_high_c;   // given a wrong encoding, degC

    // [detection]: from which difference on a pattern is reported at all, as measured and in units of its uncertainty
    ProfileValue candidate_cell_k;
    ProfileValue candidate_substring_k;
    ProfileValue candidate_module_k;
    ProfileValue candidate_string_k;
    ProfileValue candidate_sigma;
    // Standard deviation between healthy objects of one kind, K: the least that is assumed; the survey's own is used
    // where it is larger.
    ProfileValue healthy_cell_spread_k;
    ProfileValue healthy_substring_spread_k;
    ProfileValue healthy_module_spread_k;
    ProfileValue healthy_string_spread_k;
    // Which modules serve as reference.
    ProfileValue neighbour_radius_m;
    ProfileValue neighbours_wanted;
    ProfileValue neighbours_minimum;
    ProfileValue like_tilt_deg;             // largest difference of tilt
    ProfileValue like_azimuth_deg;          // and of azimuth
    ProfileValue lower_mode_share;          // density of the lower mode over that of the highest one, at least
    ProfileValue template_minimum_modules;  // for a healthy template of cell positions
    // Predicted shade (site/shade.hpp).
    ProfileValue shade_edge_m;      // how far a shadow's edge may lie elsewhere: heights and places of the layout, m
    ProfileValue shade_clock_s;     // and how far the clocks may be off, s
    ProfileValue shade_memory_min;  // a cell that was shaded so long ago still is cooler
    // What makes a pattern.
    ProfileValue string_minimum_share;    // of a string's modules that must have been seen
    ProfileValue string_warm_share;       // of the seen ones that must be warm for a warm string
    ProfileValue multiple_cells_from;     // hot cells of one module that become one finding
    ProfileValue neighbour_blur_share;    // of a hot cell's rise that its neighbours may show through blur
    ProfileValue patchwork_spread_ratio;  // spread between cells over the healthy one, in a patchwork
    ProfileValue shape_blur_px;           // standard deviation of the blur up to which parts of a cell are told apart
    ProfileValue shape_least_k;           // rise of a cell from which its shape is judged
    ProfileValue
        cause_named_from;  // probability from which one cause of several is named; below it the merged name stands
    ProfileValue shorted_spread_ratio;  // spread between the cells of a shorted module over the healthy one, at least
    ProfileValue irregular_likeness;  // likeness of cells side by side (Moran's I) half way between patchworks of cells
                                      // and what does not keep to cells
    ProfileValue degraded_modules_from;  // modules graded toward the negative end
    ProfileValue candidate_cool_k;       // difference from which a cooler module is reported
    ProfileValue missing_rise_share;  // rise over the air, over that of like neighbours, below which no module is there
    ProfileValue candidate_box_k;     // mean rise of the cells in front of a box
    ProfileValue box_spot_m;          // standard deviation of the spot that a box shows through the glass
    ProfileValue dirt_cells_from;     // hot cells side by side
    ProfileValue dirt_unequal_ratio;  // hottest over least hot cell of such a patch
    ProfileValue visible_sigma;       // a cell looks otherwise in visible light: standard deviations of the others,
    ProfileValue visible_levels;      // and levels of 255
    // What electrical readings say of a string.
    ProfileValue no_current_load_fraction;  // of the expected current; up to it a string carries none
    ProfileValue open_voltage_ratio;        // voltage over that of loaded strings; from it on a string is disconnected

    // [loss]: the electrical side of a fault (docs/loss.md)
    ProfileValue bypass_diode_v;  // forward voltage of a conducting bypass diode
    ProfileValue
        open_circuit_over_rated;  // open-circuit voltage over that at maximum power, where the type states none
    ProfileValue current_per_k;   // short-circuit current, share it rises by a kelvin
    ProfileValue voltage_per_k;   // open-circuit voltage, share it falls by a kelvin
    ProfileValue hot_cell_shunt_low_ohm_m2;  // shunt of a hot cell times its area, range
    ProfileValue hot_cell_shunt_high_ohm_m2;
    ProfileValue cell_heat_spread;  // heat of a hot cell over what its rise alone accounts for, at most

    // [calibration]: what a set of calibration frames must show (docs/calibration.md)
    ProfileValue least_boards;
    ProfileValue least_tilt_spread_deg;  // largest angle between the normals of two boards, at least
    ProfileValue most_focal_u_share;     // standard uncertainty of the focal length over the focal length
    ProfileValue most_aspect_error;      // |focal length along x over that along y - 1|
    ProfileValue board_outlier_ratio;    // a frame's RMS over the median of the frames' RMS
    ProfileValue least_board_coverage;   // share of the picture inside at least one board
    ProfileValue least_flat_frames;
    ProfileValue least_moving_share;           // of the frames' variance, that changes from frame to frame
    ProfileValue reflector_emissivity;         // of the foil of the reflector method
    ProfileValue reflector_emissivity_u;       // its standard uncertainty
    ProfileValue least_emissivity_contrast_k;  // between object and reflected temperature, to determine an emissivity
    ProfileValue most_emissivity_u;            // standard uncertainty of a determined emissivity
    ProfileValue least_flat_ratio;  // a part of the flat field over its standard uncertainty, to be subtracted

    // [inspection]: what `heatrow inspect` points out in a series of frames
    ProfileValue stray_distance_m;  // of a frame's position from the median of the series
    ProfileValue stray_gap_min;     // pause in a series; the smaller part before or after it is another series
    ProfileValue blurred_ratio;     // a frame's sharpness over the median of the series, at most
    ProfileValue saturated_share;   // of the pixels, at the end of the camera's range

    std::array<std::optional<PatternRule>, kPatternCount> rules;
    [[nodiscard]] const std::optional<PatternRule>& rule(Pattern pattern) const {
        return rules[static_cast<std::size_t>(pattern)];
    }
};

// One key of a profile file: its table, its name and where its value goes. Readers and writers loop over these, so that
// a value is named once.
struct ProfileKey {
    std::string_view table;  // "limits", "views", "radiometry", "detection", ...
    std::string_view name;
    ProfileValue Profile::*member;
};
// In the order of the file.
std::span<const ProfileKey> profile_keys();

// What is wrong with the values of a profile (a share above 1, class limits out of order, an exponent outside its
// range, a rule that scoring needs missing), in words that name the key; empty where all is well.
std::string first_problem(const Profile& profile);

}  // namespace heatrow
