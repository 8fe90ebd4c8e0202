#include "heatrow/radiometry/encoding.hpp"

#include <cmath>

namespace heatrow {

std::string problem_with(const TemperatureEncoding& encoding) {
    if (!std::isfinite(encoding.scale) || encoding.scale == 0.0) {
        return "the scale is " + std::to_string(encoding.scale) + "; it must be a number other than zero";
    }
    if (!std::isfinite(encoding.offset)) {
        return "the offset is not a finite number";
    }
    if (!(encoding.export_emissivity > 0.0 && encoding.export_emissivity <= 1.0)) {
        return "the emissivity used at export is " + std::to_string(encoding.export_emissivity) +
               "; it must be above 0 and at most 1";
    }
    if (encoding.export_emissivity < 1.0 && !encoding.export_reflected.is_known()) {
        return "the reflected temperature used at export is missing; it is needed where the emissivity at export is "
               "below 1";
    }
    return {};
}

Celsius exported_temperature(double count, const TemperatureEncoding& encoding) {
    if (encoding.nodata && count == *encoding.nodata) {
        return Celsius(kNaN);
    }
    const double value = encoding.scale * count + encoding.offset;
    return encoding.kelvin ? to_celsius(Kelvin(value)) : Celsius(value);
}

double count_of(Celsius exported, const TemperatureEncoding& encoding) {
    const double value = encoding.kelvin ? to_kelvin(exported).value() : exported.value();
    return (value - encoding.offset) / encoding.scale;
}

double radiance_at_camera(Celsius exported, const TemperatureEncoding& encoding, const BandRadiance& band) {
    const double own = band.radiance(exported);
    if (encoding.export_emissivity == 1.0) {
        return own;
    }
    const double reflected = band.radiance(encoding.export_reflected);
    return encoding.export_emissivity * own + (1.0 - encoding.export_emissivity) * reflected;
}

Celsius apparent_temperature(double count, const TemperatureEncoding& encoding, const BandRadiance& band) {
    const Celsius exported = exported_temperature(count, encoding);
    if (encoding.export_emissivity == 1.0) {
        return exported;
    }
    return to_celsius(band.temperature(radiance_at_camera(exported, encoding, band)));
}

}  // namespace heatrow
