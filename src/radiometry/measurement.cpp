#include "heatrow/radiometry/measurement.hpp"

#include <cmath>

namespace heatrow {
namespace {

bool is_share(double value) {
    return value > 0.0 && value <= 1.0;
}

// Radiance that reaches the camera without having left the object by its own warmth; NaN where conditions lack a value.
double foreign_radiance(const ObjectConditions& conditions, const BandRadiance& band) {
    if (!is_share(conditions.emissivity) || !is_share(conditions.transmittance)) {
        return kNaN;
    }
    double sum = 0.0;
    if (conditions.emissivity < 1.0) {
        sum += conditions.transmittance * (1.0 - conditions.emissivity) * band.radiance(conditions.reflected);
    }
    if (conditions.transmittance < 1.0) {
        sum += (1.0 - conditions.transmittance) * band.radiance(conditions.air);
    }
    return sum;
}

}  // namespace

std::string problem_with(const ObjectConditions& conditions) {
    if (!is_share(conditions.emissivity)) {
        return "emissivity is " + std::to_string(conditions.emissivity) + "; it must be above 0 and at most 1";
    }
    if (!is_share(conditions.transmittance)) {
        return "the transmittance of the air path is " + std::to_string(conditions.transmittance) +
               "; it must be above 0 and at most 1";
    }
    const auto in_range = [](Celsius t) {
        return to_kelvin(t) >= BandRadiance::kLowest && to_kelvin(t) <= BandRadiance::kHighest;
    };
    if (conditions.emissivity < 1.0 && !in_range(conditions.reflected)) {
        return "the reflected temperature is missing or out of range; it is needed where emissivity is below 1";
    }
    if (conditions.transmittance < 1.0 && !in_range(conditions.air)) {
        return "the air temperature is missing or out of range; it is needed where the transmittance is below 1";
    }
    return {};
}

double measured_radiance(Celsius object, const ObjectConditions& conditions, const BandRadiance& band) {
    return conditions.transmittance * conditions.emissivity * band.radiance(object) +
           foreign_radiance(conditions, band);
}

double object_radiance(double measured, const ObjectConditions& conditions, const BandRadiance& band) {
    const double own =
        (measured - foreign_radiance(conditions, band)) / (conditions.transmittance * conditions.emissivity);
    return own > 0.0 ? own : kNaN;
}

Celsius apparent_of_object(Celsius object, const ObjectConditions& conditions, const BandRadiance& band) {
    return to_celsius(band.temperature(measured_radiance(object, conditions, band)));
}

Celsius object_of_apparent(Celsius apparent, const ObjectConditions& conditions, const BandRadiance& band) {
    return to_celsius(band.temperature(object_radiance(band.radiance(apparent), conditions, band)));
}

}  // namespace heatrow
