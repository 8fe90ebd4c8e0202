// Emissivity: front glass by view angle, materials by name.
#pragma once

#include "heatrow/core/units.hpp"
#include "heatrow/radiometry/blackbody.hpp"

#include <array>
#include <span>
#include <string_view>
#include <vector>

namespace heatrow {

// Complex refractive index n + ik at a wavelength.
struct OpticalConstants {
    double wavelength_um = 0.0;
    double n = 0.0;
    double k = 0.0;
};

// Soda-lime glass, 7-14 um: Rubin 1985, Sol. Energy Mater. 12, 275-288, "same for clear, colored ... and low-iron
// glass" (V1). Ascending wavelengths.
std::span<const OpticalConstants> soda_lime_glass();
// The same between rows, n and k each linear in wavelength. Both NaN outside 7-14 um.
OpticalConstants soda_lime_glass_at(double wavelength_um);

struct Reflectances {
    double s = 0.0;  // electric field across the plane of incidence
    double p = 0.0;  // in it
};
// Fresnel's equations for a smooth surface in air. Angle from the normal, 0..pi/2.
Reflectances fresnel_reflectances(OpticalConstants glass, Radians from_normal);
// 1 - (R_s + R_p)/2 of an opaque body.
double fresnel_emissivity(OpticalConstants glass, Radians from_normal);

// Front glass in a camera's band, weighted with its response and a blackbody's spectral radiance, by the angle between
// line of sight and module normal. Smooth glass; "non-textured and textured glasses all exhibit similar emissivity at
// all angles of incidence" (Subedi et al. 2019, V1), read here as: textured glass follows smooth glass at each angle.
class GlassEmissivity {
  public:
    // Throws Error(usage) for a band or a curve outside 7-14 um, where n and k are not tabulated.
    explicit GlassEmissivity(Band band, Kelvin glass = Kelvin(323.15));
    explicit GlassEmissivity(const std::vector<ResponsePoint>& response, Kelvin glass = Kelvin(323.15));

    // Whether a curve lies inside 7-14 um.
    static bool covers(const std::vector<ResponsePoint>& response);

    // Within 1e-4 of the integral. NaN outside 0..pi/2.
    [[nodiscard]] double operator()(Radians from_normal) const;

  private:
    static constexpr int kStepsPerQuarterTurn = 360;
    std::array<double, kStepsPerQuarterTurn + 1> table_{};  // every quarter of a degree
};

enum class EmissivityBand {
    long_wave,       // measured 8-14 um
    long_wave_wide,  // measured 6.5-20 um
    total,
};
std::string_view to_string(EmissivityBand band);

// One row of the table of materials. Where the source gives one value, low and high are equal.
struct MaterialEmissivity {
    std::string_view material;
    double lowest_c;  // temperature of the measurement; NaN where not stated
    double highest_c;
    EmissivityBand band;
    double low;
    double high;
    std::string_view trust;  // V1, V2 or M, as in docs/radiometry.md
    std::string_view remark;
};
// In the order of the source. A camera needs long-wave values: `total` ones can be far off for bare metal.
std::span<const MaterialEmissivity> material_emissivities();

}  // namespace heatrow
