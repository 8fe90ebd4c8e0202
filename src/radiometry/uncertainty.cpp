#include "heatrow/radiometry/uncertainty.hpp"

#include <cmath>
#include <numbers>

namespace heatrow {
namespace {

// Object kelvin per unit of each input of the measurement equation, at one area.
struct Sensitivities {
    Celsius object{kNaN};
    double apparent = kNaN;       // per K of apparent temperature
    double emissivity = kNaN;     // per unit of emissivity
    double reflected = kNaN;      // per K of reflected temperature
    double transmittance = kNaN;  // per unit of transmittance
    double air = kNaN;            // per K of air temperature
};

Sensitivities sensitivities(const MeasuredArea& area, const BandRadiance& band) {
    const ObjectConditions& c = area.conditions;
    Sensitivities s;
    s.object = object_of_apparent(area.apparent, c, band);
    const double own = band.radiance(s.object);
    const double slope = band.derivative(s.object);  // W/(m2 sr K) at the object
    const bool mirrors = c.emissivity < 1.0;
    const bool absorbs = c.transmittance < 1.0;
    const double reflected = band.radiance(c.reflected);
    const double air = band.radiance(c.air);
    const double surface = mirrors ? c.emissivity * own + (1.0 - c.emissivity) * reflected : own;
    s.apparent = band.derivative(area.apparent) / (c.transmittance * c.emissivity * slope);
    // at emissivity or transmittance one the other temperature may be unknown, and with it the sensitivity
    s.emissivity = -(own - reflected) / (c.emissivity * slope);
    s.reflected = mirrors ? -(1.0 - c.emissivity) / c.emissivity * band.derivative(c.reflected) / slope : 0.0;
    s.transmittance = -(surface - air) / (c.transmittance * c.emissivity * slope);
    s.air =
        absorbs ? -(1.0 - c.transmittance) / (c.transmittance * c.emissivity) * band.derivative(c.air) / slope : 0.0;
    return s;
}

// A cause of zero has no effect, whether or not its sensitivity is known.
double effect(double sensitivity, double cause) {
    return cause == 0.0 ? 0.0 : sensitivity * cause;
}

double squared(double value) {
    return value * value;
}

// What a temperature and a difference share: the effect of every cause on one area.
struct Effects {
    Celsius object{kNaN};
    double noise = 0.0;
    double sampling = 0.0;
    double non_uniformity = 0.0;
    double offset = 0.0;
    double gain = 0.0;
    double emissivity = 0.0;
    double emissivity_spread = 0.0;
    double reflected = 0.0;
    double reflected_spread = 0.0;
    double transmittance = 0.0;
    double air = 0.0;
    double size_of_source = 0.0;
};

Effects effects_on(const MeasuredArea& area, const UncertaintyCauses& causes, const BandRadiance& band) {
    const Sensitivities s = sensitivities(area, band);
    // steps average out over pixels only where the noise spreads values over more than one of them
    const double step_variance = squared(causes.quantisation_step.value()) / 12.0;
    const bool dithered = causes.noise.value() >= 0.5 * causes.quantisation_step.value();
    const double variance =
        squared(causes.noise.value()) / area.pixels + step_variance / (dithered ? area.pixels : 1.0);
    Effects e;
    e.object = s.object;
    e.noise = s.apparent * std::sqrt(variance);
    e.sampling = s.apparent * area.spread.value() / std::sqrt(area.independent_samples);
    e.non_uniformity = s.apparent * causes.non_uniformity.value();
    e.offset = s.apparent * causes.camera_offset.value();
    e.gain = s.apparent * causes.camera_gain * (area.apparent - causes.gain_pivot).value();
    e.emissivity = effect(s.emissivity, causes.emissivity);
    e.emissivity_spread = effect(s.emissivity, causes.emissivity_spread);
    e.reflected = s.reflected * causes.reflected.value();
    e.reflected_spread = s.reflected * causes.reflected_spread.value();
    e.transmittance = effect(s.transmittance, causes.transmittance);
    e.air = s.air * causes.air.value();
    if (area.surroundings.is_known()) {
        e.size_of_source = s.apparent * causes.size_of_source * (area.apparent - area.surroundings).value();
    }
    return e;
}

}  // namespace

std::string_view to_string(UncertaintyTerm term) {
    switch (term) {
        case UncertaintyTerm::noise:
            return "noise";
        case UncertaintyTerm::sampling:
            return "sampling";
        case UncertaintyTerm::non_uniformity:
            return "non_uniformity";
        case UncertaintyTerm::camera_offset:
            return "camera_offset";
        case UncertaintyTerm::camera_gain:
            return "camera_gain";
        case UncertaintyTerm::emissivity:
            return "emissivity";
        case UncertaintyTerm::reflected:
            return "reflected";
        case UncertaintyTerm::air_path:
            return "air_path";
        case UncertaintyTerm::size_of_source:
            return "size_of_source";
    }
    return "";
}

double UncertaintyBudget::combined_k() const {
    double sum = 0.0;
    for (const double term : terms_k) {
        sum += term * term;
    }
    return std::sqrt(sum);
}

BudgetedTemperature temperature_with_budget(const MeasuredArea& area,
                                            const UncertaintyCauses& causes,
                                            const BandRadiance& band) {
    const Effects e = effects_on(area, causes, band);
    UncertaintyBudget budget;
    budget.terms_k = {std::abs(e.noise),
                      std::abs(e.sampling),
                      std::abs(e.non_uniformity),
                      std::abs(e.offset),
                      std::abs(e.gain),
                      combine_independent(e.emissivity, e.emissivity_spread),
                      combine_independent(e.reflected, e.reflected_spread),
                      combine_independent(e.transmittance, e.air),
                      std::abs(e.size_of_source)};
    return {e.object, budget};
}

BudgetedDifference difference_with_budget(const MeasuredArea& a,
                                          const MeasuredArea& b,
                                          const UncertaintyCauses& causes,
                                          const BandRadiance& band) {
    const Effects ea = effects_on(a, causes, band);
    const Effects eb = effects_on(b, causes, band);
    UncertaintyBudget budget;
    budget.terms_k = {combine_independent(ea.noise, eb.noise),
                      combine_independent(ea.sampling, eb.sampling),
                      combine_independent(ea.non_uniformity, eb.non_uniformity),
                      std::abs(ea.offset - eb.offset),
                      std::abs(ea.gain - eb.gain),
                      combine_independent(ea.emissivity - eb.emissivity, ea.emissivity_spread, eb.emissivity_spread),
                      combine_independent(ea.reflected - eb.reflected, ea.reflected_spread, eb.reflected_spread),
                      combine_independent(ea.transmittance - eb.transmittance, ea.air - eb.air),
                      std::abs(ea.size_of_source - eb.size_of_source)};
    return {ea.object - eb.object, budget};
}

}  // namespace heatrow
