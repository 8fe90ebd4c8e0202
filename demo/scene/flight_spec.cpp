#include "flight_spec.hpp"

#include "toml_section.hpp"

namespace scene {

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
