// Power that a fault costs, as a range: a current-voltage solve over cells, bypass diodes and string on one side, the heat
// that the thermogram shows on the other (docs/loss.md).
#pragma once

#include "heatrow/core/finding.hpp"
#include "heatrow/score/profile.hpp"
#include "heatrow/site/module_type.hpp"

#include <vector>

namespace heatrow {

struct LossRange {
    double low_w = kNaN;
    double high_w = kNaN;
};

// Under what the string works.
struct LossCircumstances {
    WattsPerSquareMetre irradiance{1000.0};
    Celsius cell{25.0};        // temperature of healthy cells
    int modules_in_string = 1;
    double load = kNaN;        // string current over that at maximum power; NaN: as much as the light gives
    // What heats a square metre of module by one kelvin beside its neighbours, W/(m2 K); NaN: not known, and then the heat
    // narrows nothing.
    double heat_loss_w_m2k = kNaN;
};

// Heat loss to air by the energy balance of an exporting module: (absorbed - efficiency) G / (T - T_air). NaN where the
// module is not warmer than the air.
double heat_loss_w_m2k(const ModuleType& type, WattsPerSquareMetre irradiance, KelvinDelta over_air, double absorbed);

// Parts of one module that export nothing: substrings from 1.
// Between their diodes conducting and nothing but what the heat surely shows: `rise` is how much warmer these are, with
// its uncertainty.
LossRange loss_of_substrings(const ModuleType& type,
                             const Profile& profile,
                             const LossCircumstances& circumstances,
                             const std::vector<int>& substrings,
                             Pattern pattern,
                             const Uncertain<KelvinDelta>& rise);

// One hot cell that its substring's diode does not bypass: all shares of light and all shunts whose heat agrees with
// `rise`, and a series resistance that turns into heat what it costs.
LossRange loss_of_cell(const ModuleType& type,
                       const Profile& profile,
                       const LossCircumstances& circumstances,
                       CellIndex cell,
                       const Uncertain<KelvinDelta>& rise);

// Power of one healthy module.
double healthy_module_w(const ModuleType& type, const Profile& profile, const LossCircumstances& circumstances);

}  // namespace heatrow
