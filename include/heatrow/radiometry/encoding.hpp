// What a frame's counts mean.
#pragma once

#include "heatrow/core/units.hpp"
#include "heatrow/radiometry/blackbody.hpp"

#include <optional>
#include <string>

namespace heatrow {

// temperature = scale x count + offset, in degC or K.
//
// Most cameras write the temperature that an object of `export_emissivity` under `export_reflected` would have (no air
// path): with emissivity 1 that is the apparent, blackbody temperature. Anything else is undone first, so that nothing
// is corrected twice.
struct TemperatureEncoding {
    double scale = 1.0;
    double offset = 0.0;
    bool kelvin = false;           // scale x count + offset is K, not degC
    std::optional<double> nodata;  // count that means no data
    double export_emissivity = 1.0;
    Celsius export_reflected{kNaN};  // needed where export_emissivity is below 1
};

// What is wrong with an encoding, as a sentence; empty if nothing.
std::string problem_with(const TemperatureEncoding& encoding);

// The temperature that the file states for a count; NaN for no data.
Celsius exported_temperature(double count, const TemperatureEncoding& encoding);

// The count of an exported temperature, not rounded.
double count_of(Celsius exported, const TemperatureEncoding& encoding);

// Radiance that met the camera when it exported this temperature; NaN outside the table's range.
double radiance_at_camera(Celsius exported, const TemperatureEncoding& encoding, const BandRadiance& band);

// Apparent (blackbody) temperature of a count, the export's emissivity and reflected temperature undone.
Celsius apparent_temperature(double count, const TemperatureEncoding& encoding, const BandRadiance& band);

}  // namespace heatrow
