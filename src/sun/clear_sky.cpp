#include "heatrow/sun/clear_sky.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {

double relative_air_mass(Radians apparent_zenith) {
    const double z = in_degrees(apparent_zenith);
    if (!(z <= 90.0)) {
        return kNaN;
    }
    return 1.0 / (std::cos(apparent_zenith.value()) + 0.50572 * std::pow(6.07995 + (90.0 - z), -1.6364));
}

double absolute_air_mass(double relative, double pressure_hpa) {
    return relative * pressure_hpa / 1013.25;
}

WattsPerSquareMetre haurwitz_global(Radians apparent_zenith) {
    const double cos_zenith = std::cos(apparent_zenith.value());
    return WattsPerSquareMetre(cos_zenith > 0.0 ? 1098.0 * cos_zenith * std::exp(-0.059 / cos_zenith) : 0.0);
}

SkyIrradiance ineichen_perez(Radians apparent_zenith,
                             double absolute_air_mass,
                             double linke_turbidity,
                             Metres altitude,
                             WattsPerSquareMetre extraterrestrial) {
    const double cos_zenith = std::cos(apparent_zenith.value());
    if (!(cos_zenith > 0.0) || std::isnan(absolute_air_mass)) {
        return {WattsPerSquareMetre(0.0), WattsPerSquareMetre(0.0), WattsPerSquareMetre(0.0)};
    }
    const double h = altitude.value();
    const double tl = linke_turbidity;
    const double fh1 = std::exp(-h / 8000.0);
    const double fh2 = std::exp(-h / 1250.0);
    const double cg1 = 5.09e-5 * h + 0.868;
    const double cg2 = 3.92e-5 * h + 0.0387;
    const double i0 = extraterrestrial.value();
    const double global = cg1 * i0 * cos_zenith * std::exp(-cg2 * absolute_air_mass * (fh1 + fh2 * (tl - 1.0)));
    const double b = 0.664 + 0.163 / fh1;
    const double beam = i0 * b * std::exp(-0.09 * absolute_air_mass * (tl - 1.0));
    const double share = 1.0 - (0.1 - 0.2 * std::exp(-tl)) / (0.1 + 0.882 / fh1);
    const double direct = std::min(beam, global * share / cos_zenith);
    return {
        WattsPerSquareMetre(global), WattsPerSquareMetre(direct), WattsPerSquareMetre(global - direct * cos_zenith)};
}

HottelTransmittance hottel(Radians zenith, Metres altitude, const ClimateFactors& climate) {
    const double km = altitude.value() / 1000.0;
    const double a0 = climate.r0 * (0.4237 - 0.00821 * (6.0 - km) * (6.0 - km));
    const double a1 = climate.r1 * (0.5055 + 0.00595 * (6.5 - km) * (6.5 - km));
    const double k = climate.rk * (0.2711 + 0.01858 * (2.5 - km) * (2.5 - km));
    const double cos_zenith = std::cos(zenith.value());
    if (!(cos_zenith > 0.0)) {
        return {};
    }
    const double beam = a0 + a1 * std::exp(-k / cos_zenith);
    return {beam, 0.271 - 0.294 * beam};
}

namespace {

// Exponents of the optical depths and the depths themselves; w = precipitable water in cm, a = aerosol depth,
// lw = ln w, lp = ln(pressure over sea level).
struct SolisDepths {
    double beam, beam_exponent, global, global_exponent, diffuse, diffuse_exponent;
};

double solis_diffuse_depth(double a, double w, double lp) {
    const bool clean = a < 0.05;
    const double t4 = clean ? 86.0 * w - 13800.0 : -0.21 * w + 11.6;
    const double t3 = clean ? -3.11 * w + 79.4 : 0.27 * w - 20.7;
    const double t2 = clean ? -0.23 * w + 74.8 : -0.134 * w + 15.5;
    const double t1 = clean ? 0.092 * w - 8.86 : 0.0554 * w - 5.71;
    const double t0 = clean ? 0.0042 * w + 3.12 : 0.0057 * w + 2.94;
    const double tp = clean ? -0.83 * std::pow(1.0 + a, -17.2) : -0.71 * std::pow(1.0 + a, -15.0);
    return (((t4 * a + t3) * a + t2) * a + t1) * a + t0 + tp * lp;
}

SolisDepths solis_depths(double a, double w, double lp) {
    const double lw = std::log(w);
    SolisDepths d{};
    d.beam =
        (1.82 + 0.056 * lw + 0.0071 * lw * lw) * a + 0.33 + 0.045 * lw + 0.0096 * lw * lw + (0.0089 * w + 0.13) * lp;
    d.beam_exponent = (0.00925 * a * a + 0.0148 * a - 0.0172) * lw - 0.7565 * a * a + 0.5057 * a + 0.4557;
    d.global =
        (1.24 + 0.047 * lw + 0.0061 * lw * lw) * a + 0.27 + 0.043 * lw + 0.0090 * lw * lw + (0.0079 * w + 0.1) * lp;
    d.global_exponent = -0.0147 * lw - 0.3079 * a * a + 0.2846 * a + 0.3798;
    d.diffuse = solis_diffuse_depth(a, w, lp);
    d.diffuse_exponent = -0.337 * a * a + 0.63 * a + 0.116 + lp / (18.0 + 152.0 * a);
    return d;
}

}  // namespace

SkyIrradiance simplified_solis(Radians apparent_elevation,
                               double aerosol_depth_700nm,
                               double precipitable_water_cm,
                               double pressure_hpa,
                               WattsPerSquareMetre extraterrestrial) {
    const double sin_h = std::sin(apparent_elevation.value());
    if (!(sin_h > 0.0)) {
        return {WattsPerSquareMetre(0.0), WattsPerSquareMetre(0.0), WattsPerSquareMetre(0.0)};
    }
    const double a = aerosol_depth_700nm;
    const double w = std::max(precipitable_water_cm, 0.2);
    const double lp = std::log(pressure_hpa / 1013.25);
    const double enhanced =
        extraterrestrial.value() *
        (0.12 * std::pow(w, 0.56) * a * a + 0.97 * std::pow(w, 0.032) * a + 1.08 * std::pow(w, 0.0051) + 0.071 * lp);
    const SolisDepths d = solis_depths(a, w, lp);
    const auto through = [&](double depth, double exponent) {
        return enhanced * std::exp(-depth / std::pow(sin_h, exponent));
    };
    return {WattsPerSquareMetre(through(d.global, d.global_exponent) * sin_h),
            WattsPerSquareMetre(through(d.beam, d.beam_exponent)),
            WattsPerSquareMetre(through(d.diffuse, d.diffuse_exponent))};
}

}  // namespace heatrow
