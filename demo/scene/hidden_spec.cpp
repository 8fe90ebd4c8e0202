#include "hidden_spec.hpp"

#include "random.hpp"
#include "toml_section.hpp"

namespace scene {

HiddenSpec read_hidden(Section section) {
    HiddenSpec hidden;
    const auto read = [&section](const char* key, double& value, double most) {
        value = section.number(key, value);
        if (value < 0.0 || value > most) {
            section.fail(key, "is a half width: not negative, and not so wide that the draw makes no sense");
        }
    };
    read("emissivity", hidden.emissivity, 0.1);
    read("sky_k", hidden.sky_k, 40.0);
    read("blur_share", hidden.blur_share, 0.9);
    read("time_constant_share", hidden.time_constant_share, 0.9);
    read("heat_loss_share", hidden.heat_loss_share, 0.9);
    read("logger_gain_share", hidden.logger_gain_share, 0.9);
    read("wind_m_s", hidden.wind_m_s, 10.0);
    read("camera_gain_share", hidden.camera_gain_share, 0.9);
    read("clock_s", hidden.clock_s, 86400.0);
    section.finish();
    return hidden;
}

HiddenTruth draw_hidden(const HiddenSpec& spec, std::uint64_t seed) {
    Random random(seed, Stream::hidden);
    const auto within = [&random](double half_width) { return random.uniform(-half_width, half_width); };
    HiddenTruth hidden;
    hidden.emissivity_offset = within(spec.emissivity);
    hidden.sky_offset_k = within(spec.sky_k);
    hidden.blur_factor = 1.0 + within(spec.blur_share);
    hidden.time_constant_factor = 1.0 + within(spec.time_constant_share);
    hidden.heat_loss_factor = 1.0 + within(spec.heat_loss_share);
    hidden.logger_gain = 1.0 + within(spec.logger_gain_share);
    hidden.camera_gain = 1.0 + within(spec.camera_gain_share);
    hidden.wind_offset_m_s = within(spec.wind_m_s);
    hidden.camera_clock_s = within(spec.clock_s);
    hidden.logger_clock_s = within(spec.clock_s);
    return hidden;
}

std::vector<std::pair<std::string, double>> named_draws(const HiddenTruth& hidden) {
    return {{"emissivity_offset", hidden.emissivity_offset},
            {"sky_offset_k", hidden.sky_offset_k},
            {"blur_factor", hidden.blur_factor},
            {"time_constant_factor", hidden.time_constant_factor},
            {"heat_loss_factor", hidden.heat_loss_factor},
            {"logger_gain", hidden.logger_gain},
            {"camera_gain", hidden.camera_gain},
            {"wind_offset_m_s", hidden.wind_offset_m_s},
            {"camera_clock_s", hidden.camera_clock_s},
            {"logger_clock_s", hidden.logger_clock_s}};
}

}  // namespace scene
