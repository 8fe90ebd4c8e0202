// Radiance of a black body in the camera's band, and its inverse.
#pragma once

#include <vector>

namespace scene {

// Planck's law integrated over 7.5 to 14 micrometres by Simpson's rule, kept as tables. Radiance in W/m2sr.
class BandRadiance {
  public:
    BandRadiance();

    // 150 to 500 K; clamped beyond.
    [[nodiscard]] double of_kelvin(double temperature_k) const {
        return interpolate(radiance_, (temperature_k - kLowest) / kStep);
    }
    [[nodiscard]] double of_celsius(double temperature_c) const { return of_kelvin(temperature_c + 273.15); }
    // Temperature of the black body that shows this radiance.
    [[nodiscard]] double apparent_celsius(double radiance) const {
        return interpolate(temperature_, (radiance - radiance_.front()) / radiance_step_) - 273.15;
    }

  private:
    static constexpr double kLowest = 150.0;
    static constexpr double kHighest = 500.0;
    static constexpr double kStep = 0.05;

    static double interpolate(const std::vector<double>& table, double place) {
        const double last = static_cast<double>(table.size() - 1);
        const double inside = place < 0.0 ? 0.0 : (place > last - 1e-9 ? last - 1e-9 : place);
        const auto i = static_cast<std::size_t>(inside);
        const double share = inside - static_cast<double>(i);
        return table[i] + share * (table[i + 1] - table[i]);
    }

    std::vector<double> radiance_;
    std::vector<double> temperature_;  // on even steps of radiance
    double radiance_step_ = 0.0;
};

// Without the table: 400 Simpson intervals.
double integrate_band_radiance(double temperature_k);

}  // namespace scene
