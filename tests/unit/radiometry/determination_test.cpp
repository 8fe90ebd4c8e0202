#include "heatrow/radiometry/determination.hpp"

#include "heatrow/radiometry/measurement.hpp"
#include "support/check_error.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <random>

using namespace heatrow;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;
using heatrow::testing::message_of;

namespace {

const BandRadiance& band() {
    static const BandRadiance table(Band{7.5, 14.0});
    return table;
}

constexpr EmissivityLimits kLimits{KelvinDelta(10.0), 0.05};
constexpr CameraUncertainties kCamera{1.0, 0.01, Celsius(20.0)};

Celsius seen(double object_c, double emissivity, double reflected_c) {
    return apparent_of_object(Celsius(object_c), {emissivity, Celsius(reflected_c), 1.0, Celsius(kNaN)}, band());
}

// Object of emissivity 0.85 at 60 degC under -20 degC, which reads 51.190 degC (a computed case of the measurement
// equation), with a contact thermometer good to 0.5 K.
ContactReading contact_reading() {
    return {{seen(60.0, 0.85, -20.0), 0.02}, {Celsius(60.0), 0.5}, {Celsius(-20.0), 3.0}};
}

ReferenceReading reference_reading() {
    return {{seen(60.0, 0.85, -20.0), 0.02}, {seen(60.0, 0.96, -20.0), 0.02}, {0.96, 0.01}, {Celsius(-20.0), 3.0}};
}

ReflectorReading reflector_reading() {
    return {{seen(25.0, 0.045, -20.0), 0.05}, {0.045, 0.01}, {Celsius(25.0), 2.0}};
}

double term(const Determination& found, std::string_view cause) {
    for (const DeterminationTerm& one : found.terms) {
        if (one.cause == cause) {
            return one.u;
        }
    }
    FAIL("no term " << cause);
    return kNaN;
}

struct Scatter {
    double mean = 0.0;
    double sigma = 0.0;
};

// Draws of a measurement that is repeated with wrong instruments; the truth stays.
template <class Draw>
Scatter monte_carlo(Draw draw) {
    std::mt19937_64 engine(7);
    std::normal_distribution<double> normal;
    constexpr int kDraws = 20000;
    double sum = 0.0;
    double squares = 0.0;
    for (int i = 0; i < kDraws; ++i) {
        const double value = draw([&](double sigma) { return sigma * normal(engine); });
        sum += value;
        squares += value * value;
    }
    const double mean = sum / kDraws;
    return {mean, std::sqrt(squares / kDraws - mean * mean)};
}

Celsius by_camera(Celsius apparent, double own, double offset, double gain) {
    return apparent + KelvinDelta(own + offset + gain * (apparent.value() - 20.0));
}

}  // namespace

TEST_CASE("reflector method: the sky behind a foil is found again", "[radiometry]") {
    const Determination found = reflected_by_reflector(reflector_reading(), kCamera, band());
    CHECK_THAT(found.value, WithinAbs(-20.0, 1e-6));
    // the bare practice, the foil a perfect mirror, reads too warm: 0.955 L(-20) + 0.045 L(25) = 26.674 W/(m2 sr)
    CHECK_THAT(reflector_reading().foil.mean.value(), WithinAbs(-17.34, 0.01));
    CHECK(term(found, "camera offset") > term(found, "foil temperature"));
}

TEST_CASE("emissivity by contact: found again; every cause has its share", "[radiometry]") {
    const Determination found = emissivity_by_contact(contact_reading(), kCamera, kLimits, band());
    CHECK_THAT(found.value, WithinAbs(0.85, 1e-6));
    // by hand: L(60) - L(-20) = 95.0509 - 25.2161, dL/dT(60) = 1.22952: 0.5 K of contact are
    // 0.85 x 1.22952 x 0.5 / 69.8348
    CHECK_THAT(term(found, "contact thermometer"), WithinRel(0.85 * 1.22952 * 0.5 / 69.8348, 1e-3));
    CHECK_THAT(term(found, "reflected temperature"), WithinRel(0.15 * 0.53736 * 3.0 / 69.8348, 0.02));
}

TEST_CASE("emissivity by reference: found again, and the camera's offset nearly cancels", "[radiometry]") {
    const Determination found = emissivity_by_reference(reference_reading(), kCamera, kLimits, band());
    CHECK_THAT(found.value, WithinAbs(0.85, 1e-6));
    const Determination contact = emissivity_by_contact(contact_reading(), kCamera, kLimits, band());
    CHECK(term(found, "camera offset") < 0.2 * term(contact, "camera offset"));
    CHECK_THAT(term(found, "reference emissivity"), WithinAbs(0.85 * 0.01 / 0.96, 1e-6));
}

TEST_CASE("determination: uncertainties agree with a Monte Carlo within 5 %", "[radiometry]") {
    const auto contact = monte_carlo([](auto error) {
        ContactReading reading = contact_reading();
        reading.object.mean = by_camera(reading.object.mean, error(0.02), error(1.0), error(0.01));
        reading.contact.value = reading.contact.value + KelvinDelta(error(0.5));
        reading.reflected.value = reading.reflected.value + KelvinDelta(error(3.0));
        return emissivity_by_contact(reading, kCamera, {KelvinDelta(0.0), 1.0}, band()).value;
    });
    const Determination by_contact = emissivity_by_contact(contact_reading(), kCamera, kLimits, band());
    CHECK_THAT(by_contact.u(), WithinRel(contact.sigma, 0.05));
    CHECK_THAT(by_contact.value, WithinAbs(contact.mean, 0.1 * contact.sigma));

    const auto reference = monte_carlo([](auto error) {
        ReferenceReading reading = reference_reading();
        const double offset = error(1.0);
        const double gain = error(0.01);
        reading.object.mean = by_camera(reading.object.mean, error(0.02), offset, gain);
        reading.reference.mean = by_camera(reading.reference.mean, error(0.02), offset, gain);
        reading.reference_emissivity.value += error(0.01);
        reading.reflected.value = reading.reflected.value + KelvinDelta(error(3.0));
        return emissivity_by_reference(reading, kCamera, {KelvinDelta(0.0), 1.0}, band()).value;
    });
    CHECK_THAT(emissivity_by_reference(reference_reading(), kCamera, kLimits, band()).u(),
               WithinRel(reference.sigma, 0.05));

    const auto reflector = monte_carlo([](auto error) {
        ReflectorReading reading = reflector_reading();
        reading.foil.mean = by_camera(reading.foil.mean, error(0.05), error(1.0), error(0.01));
        reading.emissivity.value += error(0.01);
        reading.temperature.value = reading.temperature.value + KelvinDelta(error(2.0));
        return reflected_by_reflector(reading, kCamera, band()).value;
    });
    CHECK_THAT(reflected_by_reflector(reflector_reading(), kCamera, band()).u(), WithinRel(reflector.sigma, 0.05));
}

TEST_CASE("determination: refused where object and surroundings are too close", "[radiometry]") {
    ContactReading contact = contact_reading();
    contact.reflected.value = Celsius(52.0);
    CHECK_THAT(message_of([&] { emissivity_by_contact(contact, kCamera, kLimits, band()); }),
               Contains("input: cannot determine the emissivity") && Contains("60.0 degC") && Contains("52.0 degC") &&
                   Contains("8.0 K apart") && Contains("10.0 K"));
    // wide enough apart for the limit, but too uncertain a camera for this contrast
    contact.reflected.value = Celsius(49.0);
    CHECK_THAT(message_of([&] { emissivity_by_contact(contact, kCamera, kLimits, band()); }),
               Contains("less certain than 0.050"));
    ReferenceReading reference = reference_reading();
    reference.reflected.value = Celsius(55.0);
    CHECK_THAT(message_of([&] { emissivity_by_reference(reference, kCamera, kLimits, band()); }),
               Contains("apart, less than 10.0 K"));
}

TEST_CASE("determination: what cannot be is refused with its figures", "[radiometry]") {
    ContactReading contact = contact_reading();
    contact.contact.value =
        Celsius(40.0);  // the probe does not touch: the surface would have to be brighter than black
    CHECK_THAT(message_of([&] { emissivity_by_contact(contact, kCamera, kLimits, band()); }),
               Contains("which no surface has"));
    contact.contact.value = Celsius(kNaN);
    CHECK_THAT(message_of([&] { emissivity_by_contact(contact, kCamera, kLimits, band()); }),
               Contains("usage: ") && Contains("the contact temperature is missing"));
    // a black surface may come out a little above 1; it is given as 1
    ContactReading black = contact_reading();
    black.object.mean = Celsius(60.3);
    CHECK(emissivity_by_contact(black, kCamera, kLimits, band()).value == 1.0);

    ReferenceReading reference = reference_reading();
    for (const double emissivity : {0.0, 1.2, 96.0}) {
        reference.reference_emissivity.value = emissivity;
        CHECK_THAT(message_of([&] { emissivity_by_reference(reference, kCamera, kLimits, band()); }),
                   Contains("usage: ") && Contains("above 0 and at most 1"));
    }
    ReflectorReading reflector = reflector_reading();
    reflector.emissivity.value = 1.0;
    CHECK_THAT(message_of([&] { reflected_by_reflector(reflector, kCamera, band()); }), Contains("below 1"));
    reflector = reflector_reading();
    reflector.emissivity = {0.9, 0.01};  // not the foil, but the module beside it
    CHECK_THAT(message_of([&] { reflected_by_reflector(reflector, kCamera, band()); }),
               Contains("already radiates as much"));
}
