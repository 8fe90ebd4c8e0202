#include "flight_spec.hpp"

#include "toml_section.hpp"

#include <map>
#include <string>

namespace scene {
namespace {

PoseConvention read_convention(Section& section) {
    static const std::map<std::string, PoseConvention> names{{"right", PoseConvention::right},
                                                             {"nadir_minus_90", PoseConvention::nadir_minus_90},
                                                             {"roll_180", PoseConvention::roll_180},
                                                             {"yaw_of_body", PoseConvention::yaw_of_body},
                                                             {"no_attitude", PoseConvention::no_attitude}};
    const auto found = names.find(section.text("pose_convention", "right"));
    if (found == names.end()) {
        section.fail("pose_convention",
                     "must be 'right', 'nadir_minus_90', 'roll_180', 'yaw_of_body' or 'no_attitude'");
    }
    return found->second;
}

double read_share(Section& section, const char* key) {
    const double share = section.number(key, 0.0);
    if (!(share >= 0.0 && share <= 1.0)) {
        section.fail(key, "must be between 0 and 1");
    }
    return share;
}

}  // namespace

FlightSpec read_flight(Section section) {
    FlightSpec flight;
    flight.height_m = section.number("height_m", flight.height_m);
    flight.lane_spacing_m = section.number("lane_spacing_m", flight.lane_spacing_m);
    flight.frame_spacing_m = section.number("frame_spacing_m", flight.frame_spacing_m);
    flight.overshoot_m = section.number("overshoot_m", flight.overshoot_m);
    flight.speed_m_s = section.number("speed_m_s", flight.speed_m_s);
    flight.turn_s = section.number("turn_s", flight.turn_s);
    flight.pitch_deg = section.number("pitch_deg", flight.pitch_deg);
    flight.wobble_deg = section.number("wobble_deg", flight.wobble_deg);
    flight.yaw_wobble_deg = section.number("yaw_wobble_deg", flight.yaw_wobble_deg);
    flight.position_bias_m = section.number("position_bias_m", flight.position_bias_m);
    flight.height_bias_m = section.number("height_bias_m", flight.height_bias_m);
    flight.position_noise_m = section.number("position_noise_m", flight.position_noise_m);
    flight.yaw_noise_deg = section.number("yaw_noise_deg", flight.yaw_noise_deg);
    flight.attitude_noise_deg = section.number("attitude_noise_deg", flight.attitude_noise_deg);
    flight.pause_s = section.number("pause_s", flight.pause_s);
    flight.across = section.vector2("across", {0.0, 1.0});
    flight.heading_offset_deg = section.number("heading_offset_deg", 0.0);
    flight.follow_terrain = section.boolean("follow_terrain", false);
    flight.lost_frames = section.numbers("lost_frames", {});
    flight.position_walk_m = section.number("position_walk_m", 0.0);
    flight.position_walk_limit_m = section.number("position_walk_limit_m", flight.position_walk_limit_m);
    flight.height_offset_m = section.number("height_offset_m", 0.0);
    flight.yaw_bias_deg = section.number("yaw_bias_deg", 0.0);
    flight.boresight_deg = section.numbers_of("boresight_deg", 3, {0.0, 0.0, 0.0});
    flight.clock_ahead_s = section.number("clock_ahead_s", 0.0);
    flight.position_lag_s = section.number("position_lag_s", 0.0);
    flight.missing_fix_share = read_share(section, "missing_fix_share");
    flight.zero_fix_share = read_share(section, "zero_fix_share");
    flight.jerk_share = read_share(section, "jerk_share");
    flight.jerk_factor = section.number("jerk_factor", flight.jerk_factor);
    flight.convention = read_convention(section);
    flight.crab_deg = section.number("crab_deg", flight.crab_deg);
    if (!(flight.across.x() >= 0.0 && flight.across.x() < flight.across.y() && flight.across.y() <= 1.0)) {
        section.fail("across", "must hold two rising shares between 0 and 1");
    }
    if (!flight.lost_frames.empty() && flight.lost_frames.size() != 2) {
        section.fail("lost_frames", "must hold the first and the last number");
    }
    if (flight.lane_spacing_m <= 0.0 || flight.frame_spacing_m <= 0.0 || flight.speed_m_s <= 0.0) {
        section.fail("speed_m_s", "and the spacings must be positive");
    }
    section.finish();
    return flight;
}

HandheldSpec read_handheld(Section section) {
    HandheldSpec handheld;
    for (Section& station : section.sections("station")) {
        StationSpec spec;
        spec.position_m = station.vector3("position_m");
        spec.target_m = station.vector3("target_m");
        spec.to_position_m = station.has("to_position_m") ? station.vector3("to_position_m") : spec.position_m;
        spec.to_target_m = station.has("to_target_m") ? station.vector3("to_target_m") : spec.target_m;
        spec.frames = station.integer("frames", 1);
        station.finish();
        handheld.stations.push_back(spec);
    }
    handheld.position_wobble_m = section.number("position_wobble_m", handheld.position_wobble_m);
    handheld.aim_wobble_deg = section.number("aim_wobble_deg", handheld.aim_wobble_deg);
    handheld.roll_wobble_deg = section.number("roll_wobble_deg", handheld.roll_wobble_deg);
    handheld.picking_noise_px = section.number("picking_noise_px", handheld.picking_noise_px);
    handheld.interval_s = section.number("interval_s", handheld.interval_s);
    section.finish();
    return handheld;
}

}  // namespace scene
