// The weather of the scene over time, and how far the modules follow it.
#pragma once

#include "panel_type.hpp"
#include "scene_spec.hpp"

#include <cstdint>
#include <utility>
#include <vector>

namespace scene {

struct WeatherNow {
    double irradiance_w_m2 = 0.0;       // in the module plane
    double irradiance_felt_w_m2 = 0.0;  // through the modules' time constant
    double rise_k = 0.0;                // of a loaded healthy module over air, through the same
    double wind_m_s = 0.0;
    double air_c = 0.0;
    double load = 1.0;       // string current over its current at maximum power
    double load_felt = 1.0;  // through the modules' time constant
};

// One row of the conditions log.
struct LogRow {
    double time_s = 0.0;  // after the first frame
    double irradiance_w_m2 = 0.0;
    double wind_m_s = 0.0;
    double air_c = 0.0;
    double load = 1.0;
};

// Rise of a loaded healthy module at 1000 W/m2, K, in a described mean wind, which the true one is beside.
double reference_rise_k(const HeatSpec& heat, const HiddenTruth& hidden, double wind_m_s);

class Weather {
  public:
    // From `settling_s` before the first frame to one minute after `last_s`.
    // type: by whose current-voltage curve clipped power becomes load.
    Weather(
        const SceneSpec& scene, const HiddenTruth& hidden, const PanelType& type, double last_s, std::uint64_t seed);

    [[nodiscard]] WeatherNow at(double time_s) const;
    // A row each 5 seconds, as the logger reads it.
    [[nodiscard]] std::vector<LogRow> log() const;
    // Rise of a loaded healthy module at 1000 W/m2 and the scene's mean wind, K.
    [[nodiscard]] double reference_rise_k() const { return reference_rise_k_; }
    // Lowest and highest load from the first frame on.
    [[nodiscard]] std::pair<double, double> load_range() const;

  private:
    double begin_s_ = 0.0;
    std::vector<WeatherNow> seconds_;
    double logger_gain_ = 1.0;
    double wind_offset_m_s_ = 0.0;
    double reference_rise_k_ = 0.0;
    std::uint64_t seed_ = 0;
};

}  // namespace scene
