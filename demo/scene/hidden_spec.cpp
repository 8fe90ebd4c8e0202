#include "hidden_spec.hpp"

#include "toml_section.hpp"

namespace scene {

HiddenSpec read_hidden(Section section) {
    HiddenSpec hidden;
    hidden.emissivity = section.number("emissivity", 0.0);
    hidden.sky_k = section.number("sky_k", 0.0);
    hidden.blur_share = section.number("blur_share", 0.0);
    hidden.time_constant_share = section.number("time_constant_share", 0.0);
    hidden.heat_loss_share = section.number("heat_loss_share", 0.0);
    hidden.logger_gain_share = section.number("logger_gain_share", 0.0);
    hidden.camera_gain_share = section.number("camera_gain_share", 0.0);
    section.finish();
    return hidden;
}

}  // namespace scene
