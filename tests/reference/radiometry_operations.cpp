#include "heatrow/radiometry/air.hpp"
#include "heatrow/radiometry/blackbody.hpp"
#include "heatrow/radiometry/emissivity.hpp"
#include "heatrow/radiometry/measurement.hpp"
#include "heatrow/radiometry/sky.hpp"
#include "operations.hpp"

#include <cmath>
#include <numbers>
#include <stdexcept>

namespace heatrow::reference {
namespace {

using Words = std::vector<std::string>;
using Numbers = std::vector<double>;

double word(const Words& words, std::size_t index) {
    if (index >= words.size()) {
        throw std::runtime_error("accept has too few numbers");
    }
    return to_number(words[index]);
}

Band band_of(const Parameters& parameters) {
    return {parameters.number("low"), parameters.number("high")};
}

MagnusConstants magnus_of(const Parameters& parameters) {
    const std::string& name = parameters.text("constants");
    if (name == "wmo") {
        return kMagnusWmo;
    }
    if (name == "alduchov_eskridge") {
        return kMagnusAlduchovEskridge;
    }
    throw std::runtime_error("no Magnus constants '" + name + "'");
}

// emissivity, reflected, air, transmittance from the second number on
ObjectConditions conditions_of(const Words& words) {
    return {word(words, 1), Celsius(word(words, 2)), word(words, 4), Celsius(word(words, 3))};
}

double total_radiance(double kelvin) {
    // a band so wide that nothing is outside it
    return BandRadiance(Band{0.05, 1e6}).radiance(Kelvin(kelvin));
}

void add_blackbody(Operations& operations) {
    operations["blackbody_fraction"] = [](const Parameters&, const Words& words) {
        return Numbers{blackbody_fraction(word(words, 0))};
    };
    operations["blackbody_fraction_misprint"] = [](const Parameters&, const Words& words) {
        return Numbers{word(words, 1) - blackbody_fraction(word(words, 0))};
    };
    operations["band_radiance"] = [](const Parameters& p, const Words& words) {
        return Numbers{BandRadiance(band_of(p)).radiance(Celsius(word(words, 0)))};
    };
    operations["band_derivative"] = [](const Parameters& p, const Words& words) {
        return Numbers{BandRadiance(band_of(p)).derivative(Celsius(word(words, 0)))};
    };
    operations["band_fraction"] = [](const Parameters& p, const Words& words) {
        const Celsius t(word(words, 0));
        return Numbers{BandRadiance(band_of(p)).radiance(t) / total_radiance(to_kelvin(t).value())};
    };
    operations["band_exponent"] = [](const Parameters& p, const Words& words) {
        const BandRadiance band(band_of(p));
        const Celsius t(word(words, 0));
        return Numbers{to_kelvin(t).value() * band.derivative(t) / band.radiance(t)};
    };
    operations["total_exitance"] = [](const Parameters&, const Words& words) {
        return Numbers{std::numbers::pi * total_radiance(word(words, 0))};
    };
    operations["wien_displacement"] = [](const Parameters&, const Words& words) {
        const Kelvin t(word(words, 0));
        double low = 1000.0 / t.value();  // golden section over the one maximum
        double high = 6000.0 / t.value();
        for (int i = 0; i < 200; ++i) {
            const double a = high - (high - low) / std::numbers::phi;
            const double b = low + (high - low) / std::numbers::phi;
            (spectral_radiance(a, t) > spectral_radiance(b, t) ? high : low) =
                spectral_radiance(a, t) > spectral_radiance(b, t) ? b : a;
        }
        return Numbers{0.5 * (low + high) * t.value()};
    };
}

void add_noise(Operations& operations) {
    // radiance that a noise-equivalent difference means at a temperature
    operations["noise_radiance"] = [](const Parameters& p, const Words& words) {
        return Numbers{p.number("netd") * BandRadiance(band_of(p)).derivative(Celsius(word(words, 0)))};
    };
    // the difference at this temperature that makes as much radiance as one kelvin at `at`
    operations["noise_factor"] = [](const Parameters& p, const Words& words) {
        const BandRadiance band(band_of(p));
        return Numbers{band.derivative(Celsius(p.number("at"))) / band.derivative(Celsius(word(words, 0)))};
    };
}

void add_materials(Operations& operations) {
    // by place in the table
    operations["material_emissivity"] = [](const Parameters&, const Words& words) {
        const MaterialEmissivity& row = material_emissivities()[static_cast<std::size_t>(word(words, 0))];
        return Numbers{row.low, row.high, row.lowest_c, row.highest_c};
    };
}

void add_measurement(Operations& operations) {
    operations["measured"] = [](const Parameters& p, const Words& words) {
        const BandRadiance band(band_of(p));
        const Celsius object(word(words, 0));
        return Numbers{measured_radiance(object, conditions_of(words), band),
                       apparent_of_object(object, conditions_of(words), band).value()};
    };
    operations["object_temperature"] = [](const Parameters& p, const Words& words) {
        const BandRadiance band(band_of(p));
        return Numbers{object_of_apparent(Celsius(word(words, 0)), conditions_of(words), band).value()};
    };
    operations["wrong_emissivity"] = [](const Parameters& p, const Words& words) {
        const BandRadiance band(band_of(p));
        ObjectConditions conditions{p.number("emissivity"), Celsius(p.number("reflected")), 1.0, Celsius(kNaN)};
        const Celsius apparent = apparent_of_object(Celsius(p.number("object")), conditions, band);
        conditions.emissivity = word(words, 0);
        return Numbers{object_of_apparent(apparent, conditions, band).value()};
    };
    operations["uncorrected_difference"] = [](const Parameters& p, const Words& words) {
        const BandRadiance band(band_of(p));
        const ObjectConditions conditions{word(words, 0), Celsius(word(words, 1)), 1.0, Celsius(kNaN)};
        const Celsius low = apparent_of_object(Celsius(p.number("from")), conditions, band);
        const Celsius high = apparent_of_object(Celsius(p.number("to")), conditions, band);
        return Numbers{(high - low).value()};
    };
    operations["fixed_emissivity_on_glass"] = [](const Parameters& p, const Words& words) {
        const BandRadiance band(band_of(p));
        const GlassEmissivity glass(band_of(p));
        const Celsius reflected(p.number("reflected"));
        const ObjectConditions real{glass(degrees(word(words, 0))), reflected, 1.0, Celsius(kNaN)};
        const ObjectConditions assumed{p.number("assumed"), reflected, 1.0, Celsius(kNaN)};
        const Celsius apparent = apparent_of_object(Celsius(p.number("object")), real, band);
        return Numbers{object_of_apparent(apparent, assumed, band).value()};
    };
}

void add_glass(Operations& operations) {
    operations["soda_lime_glass"] = [](const Parameters&, const Words& words) {
        const OpticalConstants glass = soda_lime_glass_at(word(words, 0));
        return Numbers{glass.n, glass.k};
    };
    operations["fresnel_emissivity"] = [](const Parameters& p, const Words& words) {
        return Numbers{fresnel_emissivity(soda_lime_glass_at(p.number("wavelength")), degrees(word(words, 0)))};
    };
    operations["fresnel_dielectric"] = [](const Parameters& p, const Words& words) {
        return Numbers{fresnel_emissivity({10.0, p.number("n"), 0.0}, degrees(word(words, 0)))};
    };
    operations["fresnel_reflectances"] = [](const Parameters& p, const Words& words) {
        const Reflectances r =
            fresnel_reflectances(soda_lime_glass_at(p.number("wavelength")), degrees(word(words, 0)));
        return Numbers{r.s, r.p};
    };
    operations["glass_emissivity"] = [](const Parameters& p, const Words& words) {
        return Numbers{GlassEmissivity(band_of(p), Kelvin(p.number("kelvin")))(degrees(word(words, 0)))};
    };
}

void add_air(Operations& operations) {
    operations["water_content"] = [](const Parameters&, const Words& words) {
        return Numbers{water_content(Celsius(word(words, 0)), word(words, 1))};
    };
    operations["transmittance"] = [](const Parameters&, const Words& words) {
        return Numbers{transmittance(Metres(word(words, 2)), Celsius(word(words, 0)), word(words, 1))};
    };
    operations["saturation_pressure"] = [](const Parameters& p, const Words& words) {
        return Numbers{saturation_pressure_hpa(Celsius(word(words, 0)), magnus_of(p))};
    };
    operations["dew_point"] = [](const Parameters& p, const Words& words) {
        return Numbers{dew_point(Celsius(word(words, 0)), word(words, 1), magnus_of(p)).value()};
    };
    operations["relative_humidity"] = [](const Parameters& p, const Words& words) {
        return Numbers{relative_humidity_percent(Celsius(word(words, 0)), Celsius(word(words, 1)), magnus_of(p))};
    };
    operations["clear_sky"] = [](const Parameters& p, const Words& words) {
        const ClearSky sky{p.number("zenith"), KelvinDelta(0.0)};
        return Numbers{
            sky_temperature(
                Celsius(p.number("air")), std::sin(degrees(word(words, 0)).value()), sky, BandRadiance(band_of(p)))
                .value()};
    };
    operations["swinbank_sky"] = [](const Parameters&, const Words& words) {
        return Numbers{swinbank_sky(Celsius(word(words, 0))).value()};
    };
}

}  // namespace

void add_radiometry_operations(Operations& operations) {
    add_blackbody(operations);
    add_noise(operations);
    add_materials(operations);
    add_measurement(operations);
    add_glass(operations);
    add_air(operations);
}

}  // namespace heatrow::reference
