// The weather and load that hold for one frame, in the module plane where that matters.
#pragma once

#include "heatrow/core/flags.hpp"
#include "heatrow/core/uncertain.hpp"
#include "heatrow/core/units.hpp"

namespace heatrow {

struct FrameConditions {
    Uncertain<WattsPerSquareMetre> irradiance;       // in the module plane, at the capture time
    Uncertain<WattsPerSquareMetre> irradiance_felt;  // the same as the module has felt it: lagged by its time constant
    bool irradiance_is_modelled = false;             // transposed from horizontal, not measured in the plane
    Uncertain<MetresPerSecond> wind;
    Uncertain<Celsius> air;
    double relative_humidity_percent = kNaN;
    double cloud_okta = kNaN;
    Uncertain<double> load_fraction{kNaN, kNaN};  // I / I_mp(G); NaN = unknown
    Flags flags;                                  // against the profile's limits
};

}  // namespace heatrow
