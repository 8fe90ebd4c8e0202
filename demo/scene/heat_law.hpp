// How a part of a module's temperature follows sun, wind and load.
#pragma once

#include <cmath>

namespace scene {

// The state of the modules at one moment.
struct HeatState {
    double rise_share = 1.0;  // rise of a loaded healthy module over that at 1000 W/m2 and the scene's mean wind
    double sun = 1.0;         // irradiance as felt, over 1000 W/m2
    double load = 1.0;        // current of the module's string over its current at maximum power at this irradiance
};

struct HeatLaw {
    enum class Kind {
        light,    // absorbed light: with the sun, whatever the load
        circuit,  // what the circuit turns into heat: with the sun, solved at `load`, linear between solved loads
        current,  // a resistance in the string: (sun x load) to the power `exponent`
    };
    Kind kind = Kind::light;
    double load = 1.0;
    double load_below = 1.0;  // the solved loads beside it, or the same where there is none
    double load_above = 1.0;
    double exponent = 1.0;

    // What kelvin of the reference state are multiplied with.
    [[nodiscard]] double factor(const HeatState& state) const {
        switch (kind) {
            case Kind::light:
                return state.rise_share;
            case Kind::circuit:
                return state.rise_share * share_at(state.load);
            case Kind::current:
                // rise_share holds one power of the sun already, and the wind.
                return state.rise_share * std::pow(state.sun, exponent - 1.0) * std::pow(state.load, exponent);
        }
        return 0.0;
    }

  private:
    [[nodiscard]] double share_at(double at) const {
        if (at <= load) {
            return load_below < load ? std::fmax(0.0, (at - load_below) / (load - load_below)) : 1.0;
        }
        return load_above > load ? std::fmax(0.0, (load_above - at) / (load_above - load)) : 1.0;
    }
};

}  // namespace scene
