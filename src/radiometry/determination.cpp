#include "heatrow/radiometry/determination.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/core/fixed_text.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <span>
#include <string>

namespace heatrow {
namespace {

// One input of a determination: its value, how sure it is, and what it is called.
struct Cause {
    std::string_view name;
    double value = 0.0;
    double u = 0.0;
};

// The result as a function of the causes' values, in their order.
using Result = std::function<double(std::span<const double>)>;

Determination propagate(const std::vector<Cause>& causes, const Result& result) {
    std::vector<double> values;
    for (const Cause& cause : causes) {
        values.push_back(cause.value);
    }
    Determination determination;
    determination.value = result(values);
    for (std::size_t i = 0; i < causes.size(); ++i) {
        values[i] = causes[i].value + causes[i].u;
        const double above = result(values);
        values[i] = causes[i].value - causes[i].u;
        const double below = result(values);
        values[i] = causes[i].value;
        determination.terms.push_back({causes[i].name, 0.5 * std::abs(above - below)});
    }
    return determination;
}

[[noreturn]] void refuse(ErrorKind kind, std::string_view what, const std::string& why, std::string_view remedy) {
    throw Error(kind, what, "", why, remedy);
}

std::string kelvin_words(double value) {
    return fixed_text(value, 1) + " K";
}

std::string celsius_words(Celsius value) {
    return fixed_text(value.value(), 1) + " degC";
}

constexpr std::string_view kNoReflected = "cannot determine the reflected temperature";
constexpr std::string_view kNoEmissivity = "cannot determine the emissivity";

void require_known(std::string_view what, std::string_view name, Celsius value) {
    if (!(to_kelvin(value) >= BandRadiance::kLowest && to_kelvin(value) <= BandRadiance::kHighest)) {
        refuse(ErrorKind::usage, what, std::string(name) + " is missing or out of range", "");
    }
}

void require_contrast(Celsius object, std::string_view by, Celsius reflected, const EmissivityLimits& limits) {
    const double contrast = std::abs((object - reflected).value());
    if (contrast < limits.least_contrast.value()) {
        refuse(ErrorKind::input,
               kNoEmissivity,
               "object (" + celsius_words(object) + " " + std::string(by) + ") and reflected temperature (" +
                   celsius_words(reflected) + ") are " + kelvin_words(contrast) + " apart, less than " +
                   kelvin_words(limits.least_contrast.value()) +
                   ": its own and the reflected radiation cannot be told apart",
               "Warm the object, or go where its surroundings are colder.");
    }
}

// What holds for a result of either method.
Determination accept(Determination result, const EmissivityLimits& limits) {
    const double u = result.u();
    const std::string words = fixed_text(result.value, 3) + " +/- " + fixed_text(u, 3);
    if (!std::isfinite(result.value) || result.value <= 0.0 || result.value > 1.0 + 2.0 * u) {
        refuse(ErrorKind::input,
               kNoEmissivity,
               "it comes out as " + words + " (standard uncertainty), which no surface has",
               "Check the reflected temperature, the contact (a probe that reads too cold) and that the frame was "
               "exported with emissivity 1.");
    }
    if (!(u <= limits.most_u)) {
        refuse(ErrorKind::input,
               kNoEmissivity,
               "it comes out as " + words + ", less certain than " + fixed_text(limits.most_u, 3),
               "Warm the object further over its surroundings, or measure the temperatures better.");
    }
    result.value = std::min(result.value, 1.0);
    return result;
}

// An apparent temperature as the camera's own errors leave it.
Celsius with_camera(Celsius apparent, double own, double offset_k, double gain, Celsius pivot) {
    return apparent + KelvinDelta(own + offset_k + gain * (apparent - pivot).value());
}

}  // namespace

double Determination::u() const {
    double sum = 0.0;
    for (const DeterminationTerm& term : terms) {
        sum += term.u * term.u;
    }
    return std::sqrt(sum);
}

Determination reflected_by_reflector(const ReflectorReading& reading,
                                     const CameraUncertainties& camera,
                                     const BandRadiance& band) {
    require_known(kNoReflected, "the foil's apparent temperature", reading.foil.mean);
    require_known(kNoReflected, "the foil's own temperature", reading.temperature.value);
    if (!(reading.emissivity.value >= 0.0 && reading.emissivity.value < 1.0)) {
        refuse(ErrorKind::usage,
               kNoReflected,
               "the foil's emissivity is " + fixed_text(reading.emissivity.value, 3) +
                   "; it must be at least 0 and below 1",
               "Aluminium foil has about 0.04.");
    }
    const auto result = [&](std::span<const double> v) {
        const Celsius seen = with_camera(reading.foil.mean, v[0], v[1], v[2], camera.gain_pivot);
        return to_celsius(band.temperature((band.radiance(seen) - v[3] * band.radiance(Celsius(v[4]))) / (1.0 - v[3])))
            .value();
    };
    const Determination found =
        propagate({{"area", 0.0, reading.foil.independent_u_k},
                   {"camera offset", 0.0, camera.offset_u_k},
                   {"camera gain", 0.0, camera.gain_u},
                   {"foil emissivity", reading.emissivity.value, reading.emissivity.u},
                   {"foil temperature", reading.temperature.value.value(), reading.temperature.u}},
                  result);
    if (!std::isfinite(found.value) || !std::isfinite(found.u())) {
        refuse(ErrorKind::input,
               kNoReflected,
               "a foil of emissivity " + fixed_text(reading.emissivity.value, 3) + " at " +
                   celsius_words(reading.temperature.value) + " already radiates as much as a surface of " +
                   celsius_words(reading.foil.mean) + " does",
               "Check the foil's temperature, and that the area lies on the foil.");
    }
    return found;
}

Determination emissivity_by_contact(const ContactReading& reading,
                                    const CameraUncertainties& camera,
                                    const EmissivityLimits& limits,
                                    const BandRadiance& band) {
    require_known(kNoEmissivity, "the object's apparent temperature", reading.object.mean);
    require_known(kNoEmissivity, "the contact temperature", reading.contact.value);
    require_known(kNoEmissivity, "the reflected temperature", reading.reflected.value);
    require_contrast(reading.contact.value, "by contact", reading.reflected.value, limits);
    const auto result = [&](std::span<const double> v) {
        const double reflected = band.radiance(Celsius(v[4]));
        const Celsius seen = with_camera(reading.object.mean, v[0], v[1], v[2], camera.gain_pivot);
        return (band.radiance(seen) - reflected) / (band.radiance(Celsius(v[3])) - reflected);
    };
    return accept(propagate({{"area", 0.0, reading.object.independent_u_k},
                             {"camera offset", 0.0, camera.offset_u_k},
                             {"camera gain", 0.0, camera.gain_u},
                             {"contact thermometer", reading.contact.value.value(), reading.contact.u},
                             {"reflected temperature", reading.reflected.value.value(), reading.reflected.u}},
                            result),
                  limits);
}

Determination emissivity_by_reference(const ReferenceReading& reading,
                                      const CameraUncertainties& camera,
                                      const EmissivityLimits& limits,
                                      const BandRadiance& band) {
    require_known(kNoEmissivity, "the object's apparent temperature", reading.object.mean);
    require_known(kNoEmissivity, "the reference's apparent temperature", reading.reference.mean);
    require_known(kNoEmissivity, "the reflected temperature", reading.reflected.value);
    if (!(reading.reference_emissivity.value > 0.0 && reading.reference_emissivity.value <= 1.0)) {
        refuse(ErrorKind::usage,
               kNoEmissivity,
               "the reference's emissivity is " + fixed_text(reading.reference_emissivity.value, 3) +
                   "; it must be above 0 and at most 1",
               "Black vinyl electrical tape has about 0.96.");
    }
    require_contrast(reading.reference.mean, "apparent, reference", reading.reflected.value, limits);
    const auto result = [&](std::span<const double> v) {
        const double reflected = band.radiance(Celsius(v[5]));
        const Celsius object = with_camera(reading.object.mean, v[0], v[2], v[3], camera.gain_pivot);
        const Celsius reference = with_camera(reading.reference.mean, v[1], v[2], v[3], camera.gain_pivot);
        return v[4] * (band.radiance(object) - reflected) / (band.radiance(reference) - reflected);
    };
    return accept(
        propagate({{"area", 0.0, reading.object.independent_u_k},
                   {"reference area", 0.0, reading.reference.independent_u_k},
                   {"camera offset", 0.0, camera.offset_u_k},
                   {"camera gain", 0.0, camera.gain_u},
                   {"reference emissivity", reading.reference_emissivity.value, reading.reference_emissivity.u},
                   {"reflected temperature", reading.reflected.value.value(), reading.reflected.u}},
                  result),
        limits);
}

}  // namespace heatrow
