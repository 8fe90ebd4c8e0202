// What the analyser is never told: half widths of the draws, [hidden] of scene.toml, and what was drawn.
#pragma once

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

namespace scene {

class Section;

// Half widths of the hidden draws, each even between minus and plus. The defaults are the design's: a scene whose truth
// is stated exactly proves little.
struct HiddenSpec {
    double emissivity = 0.02;          // of the glass, added at every angle
    double sky_k = 10.0;               // of the zenith's apparent temperature
    double blur_share = 0.1;           // of the point spread's width
    double time_constant_share = 0.2;  // of the detector
    double heat_loss_share = 0.15;     // of both heat loss coefficients
    double logger_gain_share = 0.03;   // of the logged irradiance
    double wind_m_s = 0.5;             // of the wind at the modules against the logged one
    double camera_gain_share = 0.02;   // of the camera's reading about 25 degC
    double clock_s = 2.0;              // of the camera's clock, and of the logger's

    // No draw at all: for tests of single effects.
    static HiddenSpec none() { return {0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0}; }
};

HiddenSpec read_hidden(Section section);

struct HiddenTruth {
    double emissivity_offset = 0.0;
    double sky_offset_k = 0.0;
    double blur_factor = 1.0;
    double time_constant_factor = 1.0;
    double heat_loss_factor = 1.0;
    double logger_gain = 1.0;
    double camera_gain = 1.0;
    double wind_offset_m_s = 0.0;  // wind at the modules minus logged wind
    double camera_clock_s = 0.0;   // by which the stamped times of frames run ahead
    double logger_clock_s = 0.0;   // by which those of the conditions log run ahead
};

HiddenTruth draw_hidden(const HiddenSpec& spec, std::uint64_t seed);

// Name and value of each draw, in the order of truth/hidden.csv (docs/formats/scene-truth.md).
std::vector<std::pair<std::string, double>> named_draws(const HiddenTruth& hidden);

}  // namespace scene
