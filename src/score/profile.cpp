#include "heatrow/score/profile.hpp"

#include <cmath>

namespace heatrow {
namespace {

constexpr ProfileKey kKeys[] = {
    {"limits", "minimum_irradiance_w_m2", &Profile::minimum_irradiance_w_m2},
    {"limits", "maximum_wind_m_s", &Profile::maximum_wind_m_s},
    {"limits", "maximum_irradiance_change_per_minute", &Profile::maximum_irradiance_change_per_minute},
    {"limits", "settling_time_min", &Profile::settling_time_min},
    {"limits", "maximum_cloud_okta", &Profile::maximum_cloud_okta},
    {"limits", "minimum_load_fraction", &Profile::minimum_load_fraction},
    {"views", "minimum_elevation_to_plane_deg", &Profile::minimum_elevation_to_plane_deg},
    {"views", "minimum_pixels_per_cell", &Profile::minimum_pixels_per_cell},
    {"views", "least_pixels_per_cell", &Profile::least_pixels_per_cell},
    {"views", "maximum_smear_px", &Profile::maximum_smear_px},
    {"views", "most_smear_cells", &Profile::most_smear_cells},
    {"views", "view_scatter_k", &Profile::view_scatter_k},
    {"placement", "maximum_layout_shift_m", &Profile::maximum_layout_shift_m},
    {"placement", "maximum_corner_residual_m", &Profile::maximum_corner_residual_m},
    {"radiometry", "glass_by_angle", &Profile::glass_by_angle},
    {"radiometry", "glass_emissivity", &Profile::glass_emissivity},
    {"radiometry", "polymer_emissivity", &Profile::polymer_emissivity},
    {"radiometry", "emissivity_u", &Profile::emissivity_u},
    {"radiometry", "front_emissivity_u", &Profile::front_emissivity_u},
    {"radiometry", "sky_zenith_emissivity", &Profile::sky_zenith_emissivity},
    {"radiometry", "ground_above_air_k", &Profile::ground_above_air_k},
    {"radiometry", "reflected_u_k", &Profile::reflected_u_k},
    {"radiometry", "reflected_by_direction", &Profile::reflected_by_direction},
    {"radiometry", "assumed_humidity_percent", &Profile::assumed_humidity_percent},
    {"radiometry", "air_path_u", &Profile::air_path_u},
    {"radiometry", "air_path_h0", &Profile::air_path_h0},
    {"radiometry", "air_path_h1", &Profile::air_path_h1},
    {"radiometry", "air_path_h2", &Profile::air_path_h2},
    {"radiometry", "air_path_h3", &Profile::air_path_h3},
    {"radiometry", "air_path_x", &Profile::air_path_x},
    {"radiometry", "air_path_alpha1", &Profile::air_path_alpha1},
    {"radiometry", "air_path_alpha2", &Profile::air_path_alpha2},
    {"radiometry", "air_path_beta1", &Profile::air_path_beta1},
    {"radiometry", "air_path_beta2", &Profile::air_path_beta2},
    {"radiometry", "camera_offset_u_k", &Profile::camera_offset_u_k},
    {"radiometry", "camera_gain_u", &Profile::camera_gain_u},
    {"radiometry", "point_spread_u", &Profile::point_spread_u},
    {"radiometry", "time_constant_u", &Profile::time_constant_u},
    {"radiometry", "size_of_source_u", &Profile::size_of_source_u},
    {"radiometry", "cell_heat_u", &Profile::cell_heat_u},
    {"radiometry", "absorbed_fraction", &Profile::absorbed_fraction},
    {"radiometry", "plausible_low_c", &Profile::plausible_low_c},
    {"radiometry", "plausible_high_c", &Profile::plausible_high_c},
    {"detection", "candidate_cell_k", &Profile::candidate_cell_k},
    {"detection", "candidate_substring_k", &Profile::candidate_substring_k},
    {"detection", "candidate_module_k", &Profile::candidate_module_k},
    {"detection", "candidate_string_k", &Profile::candidate_string_k},
    {"detection", "candidate_sigma", &Profile::candidate_sigma},
    {"detection", "healthy_cell_spread_k", &Profile::healthy_cell_spread_k},
    {"detection", "healthy_substring_spread_k", &Profile::healthy_substring_spread_k},
    {"detection", "healthy_module_spread_k", &Profile::healthy_module_spread_k},
    {"detection", "healthy_string_spread_k", &Profile::healthy_string_spread_k},
    {"detection", "neighbour_radius_m", &Profile::neighbour_radius_m},
    {"detection", "neighbours_wanted", &Profile::neighbours_wanted},
    {"detection", "neighbours_minimum", &Profile::neighbours_minimum},
    {"detection", "like_tilt_deg", &Profile::like_tilt_deg},
    {"detection", "like_azimuth_deg", &Profile::like_azimuth_deg},
    {"detection", "lower_mode_share", &Profile::lower_mode_share},
    {"detection", "template_minimum_modules", &Profile::template_minimum_modules},
    {"detection", "shade_edge_m", &Profile::shade_edge_m},
    {"detection", "shade_clock_s", &Profile::shade_clock_s},
    {"detection", "shade_memory_min", &Profile::shade_memory_min},
    {"detection", "string_minimum_share", &Profile::string_minimum_share},
    {"detection", "string_warm_share", &Profile::string_warm_share},
    {"detection", "multiple_cells_from", &Profile::multiple_cells_from},
    {"detection", "neighbour_blur_share", &Profile::neighbour_blur_share},
    {"detection", "patchwork_spread_ratio", &Profile::patchwork_spread_ratio},
    {"detection", "shape_blur_px", &Profile::shape_blur_px},
    {"detection", "shape_least_k", &Profile::shape_least_k},
    {"detection", "cause_named_from", &Profile::cause_named_from},
    {"detection", "shorted_spread_ratio", &Profile::shorted_spread_ratio},
    {"detection", "irregular_likeness", &Profile::irregular_likeness},
    {"detection", "degraded_modules_from", &Profile::degraded_modules_from},
    {"detection", "candidate_cool_k", &Profile::candidate_cool_k},
    {"detection", "missing_rise_share", &Profile::missing_rise_share},
    {"detection", "candidate_box_k", &Profile::candidate_box_k},
    {"detection", "box_spot_m", &Profile::box_spot_m},
    {"detection", "dirt_cells_from", &Profile::dirt_cells_from},
    {"detection", "dirt_unequal_ratio", &Profile::dirt_unequal_ratio},
    {"detection", "visible_sigma", &Profile::visible_sigma},
    {"detection", "visible_levels", &Profile::visible_levels},
    {"detection", "no_current_load_fraction", &Profile::no_current_load_fraction},
    {"detection", "open_voltage_ratio", &Profile::open_voltage_ratio},
    {"loss", "bypass_diode_v", &Profile::bypass_diode_v},
    {"loss", "open_circuit_over_rated", &Profile::open_circuit_over_rated},
    {"loss", "current_per_k", &Profile::current_per_k},
    {"loss", "voltage_per_k", &Profile::voltage_per_k},
    {"loss", "hot_cell_shunt_low_ohm_m2", &Profile::hot_cell_shunt_low_ohm_m2},
    {"loss", "hot_cell_shunt_high_ohm_m2", &Profile::hot_cell_shunt_high_ohm_m2},
    {"loss", "cell_heat_spread", &Profile::cell_heat_spread},
    {"calibration", "least_boards", &Profile::least_boards},
    {"calibration", "least_tilt_spread_deg", &Profile::least_tilt_spread_deg},
    {"calibration", "most_focal_u_share", &Profile::most_focal_u_share},
    {"calibration", "most_aspect_error", &Profile::most_aspect_error},
    {"calibration", "board_outlier_ratio", &Profile::board_outlier_ratio},
    {"calibration", "least_board_coverage", &Profile::least_board_coverage},
    {"calibration", "least_flat_frames", &Profile::least_flat_frames},
    {"calibration", "least_moving_share", &Profile::least_moving_share},
    {"calibration", "least_flat_ratio", &Profile::least_flat_ratio},
    {"calibration", "reflector_emissivity", &Profile::reflector_emissivity},
    {"calibration", "reflector_emissivity_u", &Profile::reflector_emissivity_u},
    {"calibration", "least_emissivity_contrast_k", &Profile::least_emissivity_contrast_k},
    {"calibration", "most_emissivity_u", &Profile::most_emissivity_u},
    {"inspection", "stray_distance_m", &Profile::stray_distance_m},
    {"inspection", "stray_gap_min", &Profile::stray_gap_min},
    {"inspection", "blurred_ratio", &Profile::blurred_ratio},
    {"inspection", "saturated_share", &Profile::saturated_share},
};

// What scoring reports, and so needs a rule for.
constexpr Pattern kNeeded[] = {Pattern::hot_cell,
                               Pattern::multiple_hot_cells,
                               Pattern::substring_bypassed,
                               Pattern::open_circuit_module,
                               Pattern::string_warm_cause_open};

constexpr ProfileValue Profile::*kShares[] = {&Profile::glass_by_angle,
                                              &Profile::glass_emissivity,
                                              &Profile::polymer_emissivity,
                                              &Profile::emissivity_u,
                                              &Profile::front_emissivity_u,
                                              &Profile::sky_zenith_emissivity,
                                              &Profile::reflected_by_direction,
                                              &Profile::camera_gain_u,
                                              &Profile::point_spread_u,
                                              &Profile::size_of_source_u,
                                              &Profile::cell_heat_u,
                                              &Profile::absorbed_fraction,
                                              &Profile::minimum_load_fraction,
                                              &Profile::no_current_load_fraction,
                                              &Profile::lower_mode_share,
                                              &Profile::string_minimum_share,
                                              &Profile::string_warm_share,
                                              &Profile::neighbour_blur_share,
                                              &Profile::cause_named_from,
                                              &Profile::missing_rise_share,
                                              &Profile::reflector_emissivity,
                                              &Profile::reflector_emissivity_u,
                                              &Profile::most_emissivity_u,
                                              &Profile::blurred_ratio,
                                              &Profile::saturated_share,
                                              &Profile::most_focal_u_share,
                                              &Profile::most_aspect_error,
                                              &Profile::least_board_coverage,
                                              &Profile::least_moving_share};

constexpr ProfileValue Profile::*kAboveZero[] = {&Profile::glass_emissivity,
                                                 &Profile::polymer_emissivity,
                                                 &Profile::sky_zenith_emissivity,
                                                 &Profile::candidate_sigma,
                                                 &Profile::healthy_cell_spread_k,
                                                 &Profile::healthy_substring_spread_k,
                                                 &Profile::healthy_module_spread_k,
                                                 &Profile::healthy_string_spread_k,
                                                 &Profile::neighbour_radius_m,
                                                 &Profile::neighbours_wanted,
                                                 &Profile::neighbours_minimum,
                                                 &Profile::multiple_cells_from,
                                                 &Profile::box_spot_m,
                                                 &Profile::hot_cell_shunt_low_ohm_m2};

std::string name_of(ProfileValue Profile::*member) {
    for (const auto& key : kKeys) {
        if (key.member == member) {
            return std::string(key.name);
        }
    }
    return {};
}

std::string value_problem(const Profile& profile) {
    for (const auto& key : kKeys) {
        const double value = (profile.*key.member).value;
        // points on the Celsius scale, and constants of a fit
        const bool may_be_negative = key.name.ends_with("_c") || key.name.starts_with("air_path_");
        if (!std::isfinite(value) || (value < 0.0 && !may_be_negative)) {
            return std::string(key.name) + " is negative or no number";
        }
    }
    for (const auto member : kShares) {
        if ((profile.*member).value > 1.0) {
            return name_of(member) + " is a share and above 1";
        }
    }
    for (const auto member : kAboveZero) {
        if (!((profile.*member).value > 0.0)) {
            return name_of(member) + " must be above 0";
        }
    }
    if (profile.glass_by_angle.value != 0.0 && profile.glass_by_angle.value != 1.0) {
        return "glass_by_angle is neither 0 nor 1";
    }
    if (profile.reflected_by_direction.value != 0.0 && profile.reflected_by_direction.value != 1.0) {
        return "reflected_by_direction is neither 0 nor 1";
    }
    if (profile.assumed_humidity_percent.value != 0.0 &&
        (profile.assumed_humidity_percent.value < 1.0 || profile.assumed_humidity_percent.value > 100.0)) {
        return "assumed_humidity_percent is neither 0 nor a percentage from 1 to 100";
    }
    if (profile.patchwork_spread_ratio.value <= 1.0) {
        return "patchwork_spread_ratio must be above 1";
    }
    if (profile.open_voltage_ratio.value <= 1.0) {
        return "open_voltage_ratio must be above 1";
    }
    if (profile.open_circuit_over_rated.value < 1.0) {
        return "open_circuit_over_rated must be 1 or more";
    }
    if (profile.cell_heat_spread.value < 1.0) {
        return "cell_heat_spread must be 1 or more";
    }
    if (profile.hot_cell_shunt_high_ohm_m2.value < profile.hot_cell_shunt_low_ohm_m2.value) {
        return "hot_cell_shunt_high_ohm_m2 lies below hot_cell_shunt_low_ohm_m2";
    }
    if (profile.no_current_load_fraction.value > profile.minimum_load_fraction.value) {
        return "no_current_load_fraction lies above minimum_load_fraction";
    }
    return {};
}

std::string rule_problem(const Profile& profile) {
    for (int i = 0; i < kPatternCount; ++i) {
        const auto pattern = static_cast<Pattern>(i);
        const auto& rule = profile.rule(pattern);
        if (!rule) {
            continue;
        }
        const std::string name = "the rule of " + std::string(to_string(pattern));
        if (rule->class_2_from.is_known() && rule->class_3_from.is_known() && rule->class_3_from < rule->class_2_from) {
            return name + ": class_3_from lies below class_2_from";
        }
        if (!(rule->exponent_low <= rule->exponent && rule->exponent <= rule->exponent_high)) {
            return name + ": exponent lies outside exponent_low to exponent_high";
        }
    }
    for (const Pattern pattern : kNeeded) {
        if (!profile.rule(pattern)) {
            return "there is no rule of " + std::string(to_string(pattern));
        }
    }
    return {};
}

}  // namespace

std::span<const ProfileKey> profile_keys() {
    return kKeys;
}

std::string first_problem(const Profile& profile) {
    const std::string problem = value_problem(profile);
    return problem.empty() ? rule_problem(profile) : problem;
}

}  // namespace heatrow
