// The air between a surface and the camera.
#pragma once

#include <array>

namespace scene {

// Transmittance of a short path by humidity and air temperature: the two-term model of docs/radiometry.md's source
// (Minkina and Dudzik, Infrared Thermography: Errors and Uncertainties; constants of one family of cameras, not
// universal), written apart from the analyser's.
class AirPath {
  public:
    // relative_humidity: 0 to 1; 0 = no air at all.
    AirPath(double relative_humidity, double air_c);

    // Between 0 and 1; beyond 1 km as at 1 km.
    [[nodiscard]] double transmittance(double distance_m) const {
        double place = (distance_m < 0.0 ? 0.0 : distance_m) / kStep;
        place = place > kCount - 1.001 ? kCount - 1.001 : place;
        const auto i = static_cast<std::size_t>(place);
        return table_[i] + (place - static_cast<double>(i)) * (table_[i + 1] - table_[i]);
    }

  private:
    static constexpr double kStep = 0.5;  // m
    static constexpr int kCount = 2001;
    std::array<double, kCount> table_{};
};

}  // namespace scene
