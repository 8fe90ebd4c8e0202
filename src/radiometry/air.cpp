#include "heatrow/radiometry/air.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {

std::string problem_with_humidity(double percent) {
    if (!(percent > 0.0 && percent <= 100.0)) {
        return "relative humidity is " + std::to_string(percent) + "; it must be above 0 and at most 100 percent";
    }
    if (percent <= 1.0) {
        return "relative humidity is " + std::to_string(percent) +
               " percent, which looks like a fraction; give percent, e.g. 50";
    }
    return {};
}

double saturation_pressure_hpa(Celsius air, MagnusConstants constants) {
    return constants.a_hpa * std::exp(constants.b * air.value() / (constants.c_degc + air.value()));
}

Celsius dew_point(Celsius air, double percent, MagnusConstants constants) {
    if (!problem_with_humidity(percent).empty()) {
        return Celsius(kNaN);
    }
    const double gamma = constants.b * air.value() / (constants.c_degc + air.value()) + std::log(percent / 100.0);
    return Celsius(constants.c_degc * gamma / (constants.b - gamma));
}

double relative_humidity_percent(Celsius air, Celsius dew_point, MagnusConstants constants) {
    return 100.0 * saturation_pressure_hpa(dew_point, constants) / saturation_pressure_hpa(air, constants);
}

double water_content(Celsius air, double percent, const TransmittanceConstants& c) {
    const double t = air.value();
    return percent / 100.0 * std::exp(c.h0 + t * (c.h1 + t * (c.h2 + t * c.h3)));
}

double transmittance(Metres distance, Celsius air, double percent, const TransmittanceConstants& c) {
    if (!(distance.value() >= 0.0) || !problem_with_humidity(percent).empty() ||
        !(air.value() >= c.lowest_air_c && air.value() <= c.highest_air_c)) {
        return kNaN;
    }
    const double root_water = std::sqrt(water_content(air, percent, c));
    const double root_distance = std::sqrt(distance.value());
    const double tau = c.x * std::exp(-root_distance * (c.alpha1 + c.beta1 * root_water)) +
                       (1.0 - c.x) * std::exp(-root_distance * (c.alpha2 + c.beta2 * root_water));
    return tau > 0.0 ? std::min(tau, 1.0) : kNaN;
}

}  // namespace heatrow
