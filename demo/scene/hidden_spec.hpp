// Half widths of the hidden draws: [hidden] of scene.toml.
#pragma once

namespace scene {

class Section;

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

HiddenSpec read_hidden(Section section);

}  // namespace scene
