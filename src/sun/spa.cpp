#include "heatrow/sun/spa.hpp"

#include "earth_terms.hpp"

#include <cmath>
#include <cstddef>
#include <numbers>

namespace heatrow {
namespace {

constexpr double kDegree = std::numbers::pi / 180.0;
constexpr double kSunRadiusDeg = 0.26667;

double sin_deg(double angle) {
    return std::sin(angle * kDegree);
}
double cos_deg(double angle) {
    return std::cos(angle * kDegree);
}
double in_deg(double radians) {
    return radians / kDegree;
}

double full_turn(double angle) {
    const double wrapped = std::fmod(angle, 360.0);
    return wrapped < 0.0 ? wrapped + 360.0 : wrapped;
}

// c[0] + c[1] x + c[2] x^2 + ...
template <std::size_t Size>
double polynomial(double x, const std::array<double, Size>& c) {
    double sum = 0.0;
    for (std::size_t i = Size; i-- > 0;) {
        sum = sum * x + c[i];
    }
    return sum;
}

template <std::size_t Size>
double series(double jme, const std::array<detail::EarthTerm, Size>& terms) {
    double sum = 0.0;
    for (const detail::EarthTerm& term : terms) {
        sum += term.a * std::cos(term.b + term.c * jme);
    }
    return sum * 1e-8;
}

void place_earth(Spa& s) {
    using namespace detail;
    const double t = s.jme;
    const double l = polynomial<6>(
        t, {series(t, kL0), series(t, kL1), series(t, kL2), series(t, kL3), series(t, kL4), series(t, kL5)});
    s.l_deg = full_turn(in_deg(l));
    s.b_deg = in_deg(polynomial<2>(t, {series(t, kB0), series(t, kB1)}));
    s.r_au = polynomial<5>(t, {series(t, kR0), series(t, kR1), series(t, kR2), series(t, kR3), series(t, kR4)});
    s.theta_deg = full_turn(s.l_deg + 180.0);
    s.beta_deg = -s.b_deg;
}

void nutate(Spa& s) {
    const double t = s.jce;
    s.x_deg = {polynomial<4>(t, {297.85036, 445267.111480, -0.0019142, 1.0 / 189474.0}),
               polynomial<4>(t, {357.52772, 35999.050340, -0.0001603, -1.0 / 300000.0}),
               polynomial<4>(t, {134.96298, 477198.867398, 0.0086972, 1.0 / 56250.0}),
               polynomial<4>(t, {93.27191, 483202.017538, -0.0036825, 1.0 / 327270.0}),
               polynomial<4>(t, {125.04452, -1934.136261, 0.0020708, 1.0 / 450000.0})};
    double psi = 0.0;
    double epsilon = 0.0;
    for (const detail::NutationTerm& term : detail::kNutation) {
        double argument = 0.0;
        for (std::size_t i = 0; i < s.x_deg.size(); ++i) {
            argument += s.x_deg[i] * term.multiples[i];
        }
        psi += (term.a + term.b * t) * sin_deg(argument);
        epsilon += (term.c + term.d * t) * cos_deg(argument);
    }
    constexpr double kUnitsPerDegree = 36000000.0;
    s.delta_psi_deg = psi / kUnitsPerDegree;
    s.delta_epsilon_deg = epsilon / kUnitsPerDegree;
    s.epsilon0_arcsec = polynomial<11>(
        s.jme / 10.0, {84381.448, -4680.93, -1.55, 1999.25, -51.38, -249.67, -39.05, 7.12, 27.87, 5.79, 2.45});
    s.epsilon_deg = s.epsilon0_arcsec / 3600.0 + s.delta_epsilon_deg;
}

void place_sun_geocentric(double julian_day, Spa& s) {
    s.delta_tau_deg = -20.4898 / (3600.0 * s.r_au);
    s.lambda_deg = s.theta_deg + s.delta_psi_deg + s.delta_tau_deg;
    s.nu0_deg = full_turn(280.46061837 + 360.98564736629 * (julian_day - 2451545.0) +
                          s.jc * s.jc * (0.000387933 - s.jc / 38710000.0));
    s.nu_deg = s.nu0_deg + s.delta_psi_deg * cos_deg(s.epsilon_deg);
    const double sin_lambda = sin_deg(s.lambda_deg);
    s.alpha_deg = full_turn(
        in_deg(std::atan2(sin_lambda * cos_deg(s.epsilon_deg) - std::tan(s.beta_deg * kDegree) * sin_deg(s.epsilon_deg),
                          cos_deg(s.lambda_deg))));
    s.delta_deg = in_deg(std::asin(sin_deg(s.beta_deg) * cos_deg(s.epsilon_deg) +
                                   cos_deg(s.beta_deg) * sin_deg(s.epsilon_deg) * sin_lambda));
    const double mean_longitude = polynomial<6>(
        s.jme, {280.4664567, 360007.6982779, 0.03032028, 1.0 / 49931.0, -1.0 / 15300.0, -1.0 / 2000000.0});
    const double difference = mean_longitude - 0.0057183 - s.alpha_deg + s.delta_psi_deg * cos_deg(s.epsilon_deg);
    s.equation_of_time_min = 4.0 * (full_turn(difference + 180.0) - 180.0);
}

void place_sun_topocentric(const SpaInput& in, Spa& s) {
    constexpr double kFlattening = 0.99664719;
    constexpr double kEarthRadiusM = 6378140.0;
    s.h_deg = full_turn(s.nu_deg + in.longitude_deg - s.alpha_deg);
    s.xi_deg = 8.794 / (3600.0 * s.r_au);
    const double u = std::atan(kFlattening * std::tan(in.latitude_deg * kDegree));
    const double height = in.elevation_m / kEarthRadiusM;
    const double x = std::cos(u) + height * cos_deg(in.latitude_deg);
    const double y = kFlattening * std::sin(u) + height * sin_deg(in.latitude_deg);
    const double sin_xi = sin_deg(s.xi_deg);
    const double across = cos_deg(s.delta_deg) - x * sin_xi * cos_deg(s.h_deg);
    const double delta_alpha = std::atan2(-x * sin_xi * sin_deg(s.h_deg), across);
    s.delta_alpha_deg = in_deg(delta_alpha);
    s.alpha_prime_deg = s.alpha_deg + s.delta_alpha_deg;
    s.delta_prime_deg = in_deg(std::atan2((sin_deg(s.delta_deg) - y * sin_xi) * std::cos(delta_alpha), across));
    s.h_prime_deg = s.h_deg - s.delta_alpha_deg;

    const double sin_phi = sin_deg(in.latitude_deg);
    const double cos_phi = cos_deg(in.latitude_deg);
    const double cos_h = cos_deg(s.h_prime_deg);
    s.e0_deg = in_deg(std::asin(sin_phi * sin_deg(s.delta_prime_deg) + cos_phi * cos_deg(s.delta_prime_deg) * cos_h));
    s.delta_e_deg = spa_refraction_deg(s.e0_deg, in.pressure_hpa, in.temperature_c, in.refraction_deg);
    s.e_deg = s.e0_deg + s.delta_e_deg;
    s.zenith_deg = 90.0 - s.e_deg;
    s.azimuth_astronomers_deg = full_turn(
        in_deg(std::atan2(sin_deg(s.h_prime_deg), cos_h * sin_phi - std::tan(s.delta_prime_deg * kDegree) * cos_phi)));
    s.azimuth_deg = full_turn(s.azimuth_astronomers_deg + 180.0);
}

}  // namespace

double spa_refraction_deg(double e0_deg, double pressure_hpa, double temperature_c, double refraction_deg) {
    if (e0_deg < -(kSunRadiusDeg + refraction_deg)) {
        return 0.0;
    }
    return pressure_hpa / 1010.0 * (283.0 / (273.0 + temperature_c)) * 1.02 /
           (60.0 * std::tan((e0_deg + 10.3 / (e0_deg + 5.11)) * kDegree));
}

Spa spa(const SpaInput& input) {
    Spa s;
    s.jc = (input.julian_day - 2451545.0) / 36525.0;
    s.jde = input.julian_day + input.delta_t_s / 86400.0;
    s.jce = (s.jde - 2451545.0) / 36525.0;
    s.jme = s.jce / 10.0;
    place_earth(s);
    nutate(s);
    place_sun_geocentric(input.julian_day, s);
    place_sun_topocentric(input, s);
    return s;
}

}  // namespace heatrow
