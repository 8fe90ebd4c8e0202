#include "heatrow/sun/transposition.hpp"

#include "heatrow/sun/solar_geometry.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace heatrow {
namespace {

// F11 F12 F13 F21 F22 F23 for the eight bins of clearness: Perez et al. 1990, table 6, all sites (V1).
constexpr std::array<std::array<double, 6>, 8> kPerez{{{-0.008, 0.588, -0.062, -0.060, 0.072, -0.022},
                                                       {0.130, 0.683, -0.151, -0.019, 0.066, -0.029},
                                                       {0.330, 0.487, -0.221, 0.055, -0.064, -0.026},
                                                       {0.568, 0.187, -0.295, 0.109, -0.152, -0.014},
                                                       {0.873, -0.392, -0.362, 0.226, -0.462, 0.001},
                                                       {1.132, -1.237, -0.412, 0.288, -0.823, 0.056},
                                                       {1.060, -1.600, -0.359, 0.264, -1.127, 0.131},
                                                       {0.678, -0.327, -0.250, 0.156, -1.377, 0.251}}};
constexpr std::array<double, 7> kPerezBinEnds{1.065, 1.23, 1.5, 1.95, 2.8, 4.5, 6.2};

// Sky view of a tilted plane.
double sky_share(Radians tilt) {
    return (1.0 + std::cos(tilt.value())) / 2.0;
}

double cubed(double x) {
    return x * x * x;
}

// The denominator is kept away from the horizon: cos 89 deg, as the models are used elsewhere.
double beam_ratio_of(const SkyOverPlane& over) {
    constexpr double kLeastCosZenith = 0.01745;
    return std::max(over.cos_incidence, 0.0) / std::max(std::cos(over.sun_zenith.value()), kLeastCosZenith);
}

double anisotropy_of(const SkyOverPlane& over) {
    return over.sky.direct / over.extraterrestrial;
}

}  // namespace

WattsPerSquareMetre isotropic_sky_diffuse(WattsPerSquareMetre diffuse, Radians tilt) {
    return diffuse * sky_share(tilt);
}

double hay_davies_factor(double anisotropy, double beam_ratio, Radians tilt) {
    return anisotropy * beam_ratio + (1.0 - anisotropy) * sky_share(tilt);
}

double reindl_factor(double anisotropy, double beam_ratio, Radians tilt, double beam_over_global) {
    const double horizon = 1.0 + std::sqrt(beam_over_global) * cubed(std::sin(tilt.value() / 2.0));
    return anisotropy * beam_ratio + (1.0 - anisotropy) * sky_share(tilt) * horizon;
}

WattsPerSquareMetre hay_davies_sky_diffuse(const SkyOverPlane& over) {
    return over.sky.diffuse * hay_davies_factor(anisotropy_of(over), beam_ratio_of(over), over.tilt);
}

WattsPerSquareMetre reindl_sky_diffuse(const SkyOverPlane& over) {
    const double beam = std::max(over.sky.direct.value() * std::cos(over.sun_zenith.value()), 0.0);
    const double share = beam / std::max(over.sky.global.value(), 1e-6);
    return over.sky.diffuse * reindl_factor(anisotropy_of(over), beam_ratio_of(over), over.tilt, share);
}

WattsPerSquareMetre klucher_sky_diffuse(const SkyOverPlane& over) {
    const double ratio = over.sky.diffuse / over.sky.global;
    const double f = std::isfinite(ratio) ? 1.0 - ratio * ratio : 0.0;
    const double cos_incidence = std::max(over.cos_incidence, 0.0);
    return over.sky.diffuse * sky_share(over.tilt) * (1.0 + f * cubed(std::sin(over.tilt.value() / 2.0))) *
           (1.0 + f * cos_incidence * cos_incidence * cubed(std::sin(over.sun_zenith.value())));
}

PerezSky perez_sky_diffuse(const SkyOverPlane& over) {
    PerezSky result;
    const double diffuse = over.sky.diffuse.value();
    if (!(diffuse > 0.0) || std::isnan(over.relative_air_mass)) {
        return result;
    }
    constexpr double kKappa = 1.041;  // zenith in radians
    const double z = over.sun_zenith.value();
    const double k = kKappa * cubed(z);
    result.clearness = ((diffuse + over.sky.direct.value()) / diffuse + k) / (1.0 + k);
    result.brightness = diffuse * over.relative_air_mass / over.extraterrestrial.value();
    const auto bin = static_cast<std::size_t>(
        std::upper_bound(kPerezBinEnds.begin(), kPerezBinEnds.end(), result.clearness) - kPerezBinEnds.begin());
    result.bin = static_cast<int>(bin) + 1;
    const auto& c = kPerez[bin];
    result.f1 = std::max(c[0] + c[1] * result.brightness + c[2] * z, 0.0);
    result.f2 = c[3] + c[4] * result.brightness + c[5] * z;
    const double a = std::max(over.cos_incidence, 0.0);
    const double b = std::max(std::cos(z), std::cos(degrees(85.0).value()));
    result.isotropic = WattsPerSquareMetre(diffuse * (1.0 - result.f1) * sky_share(over.tilt));
    result.circumsolar = WattsPerSquareMetre(diffuse * result.f1 * a / b);
    result.horizon = WattsPerSquareMetre(diffuse * result.f2 * std::sin(over.tilt.value()));
    const WattsPerSquareMetre total = result.isotropic + result.circumsolar + result.horizon;
    result.total = std::max(total, WattsPerSquareMetre(0.0));
    return result;
}

WattsPerSquareMetre ground_reflected(WattsPerSquareMetre global, double albedo, Radians tilt) {
    return global * (albedo * (1.0 - std::cos(tilt.value())) / 2.0);
}

SkyIrradiance erbs(WattsPerSquareMetre global, Radians true_zenith, WattsPerSquareMetre extraterrestrial) {
    // Below 3 deg of elevation the clearness index is not defined well enough.
    constexpr double kLeastCosZenith = 0.0523;
    const double cos_zenith = std::max(std::cos(true_zenith.value()), kLeastCosZenith);
    const double kt = std::clamp(global / (extraterrestrial * cos_zenith), 0.0, 1.0);
    double share = 0.165;
    if (kt <= 0.22) {
        share = 1.0 - 0.09 * kt;
    } else if (kt <= 0.8) {
        share = 0.9511 + kt * (-0.1604 + kt * (4.388 + kt * (-16.638 + kt * 12.336)));
    }
    const WattsPerSquareMetre diffuse = global * share;
    return {global, (global - diffuse) / cos_zenith, diffuse};
}

WattsPerSquareMetre plane_irradiance(const SkyIrradiance& sky,
                                     const SolarPosition& sun,
                                     const PlaneOrientation& plane,
                                     double albedo) {
    SkyOverPlane over;
    over.sky = sky;
    over.extraterrestrial = extraterrestrial_normal(sun.earth_sun_distance_au, kSolarConstant);
    over.sun_zenith = sun.zenith;
    over.cos_incidence = cos_incidence(plane, sun.zenith, sun.azimuth);
    over.relative_air_mass = relative_air_mass(sun.zenith);
    over.tilt = plane.tilt;
    return sky.direct * std::max(over.cos_incidence, 0.0) + perez_sky_diffuse(over).total +
           ground_reflected(sky.global, albedo, plane.tilt);
}

CarriedIrradiance carry_to_plane(WattsPerSquareMetre measured,
                                 const PlaneOrientation& sensor,
                                 const PlaneOrientation& plane,
                                 const SolarPosition& sun,
                                 double albedo) {
    constexpr double kLeastElevationDeg = 5.0;
    if (in_degrees(sun.elevation()) < kLeastElevationDeg || !(measured.value() >= 0.0)) {
        return {};
    }
    const WattsPerSquareMetre extraterrestrial = extraterrestrial_normal(sun.earth_sun_distance_au, kSolarConstant);
    const auto on_plane = [&](double global, const PlaneOrientation& where) {
        const SkyIrradiance sky = erbs(WattsPerSquareMetre(global), sun.true_zenith, extraterrestrial);
        return plane_irradiance(sky, sun, where, albedo).value();
    };
    // Rises with the global irradiance: halving finds the one that explains the reading.
    double low = 0.0;
    double high = extraterrestrial.value() * 1.2;
    if (on_plane(high, sensor) < measured.value()) {
        return {};
    }
    for (int i = 0; i < 60; ++i) {
        const double middle = (low + high) / 2.0;
        (on_plane(middle, sensor) < measured.value() ? low : high) = middle;
    }
    constexpr double kModelShare = 0.04;
    const double angle_cos = normal_in_site(sensor).dot(normal_in_site(plane));
    const bool in_front =
        cos_incidence(sensor, sun.zenith, sun.azimuth) > 0.1 && cos_incidence(plane, sun.zenith, sun.azimuth) > 0.1;
    const double apart = std::sqrt(std::max(0.0, 1.0 - angle_cos * angle_cos));
    return {WattsPerSquareMetre(on_plane(high, plane)), in_front ? kModelShare * (0.5 + apart) : 3.0 * kModelShare};
}

}  // namespace heatrow
