// From a difference as measured to one at 1000 W/m2, its class, and what it says of lost export (docs/scoring.md).
#pragma once

#include "heatrow/core/conditions.hpp"
#include "heatrow/core/finding.hpp"
#include "heatrow/core/normal.hpp"
#include "heatrow/core/uncertain.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/score/profile.hpp"

namespace heatrow {

// delta * (1000 W/m2 / irradiance)^exponent; 1 for a rise by lost export, about 1.6 to 2 for ribbons and contacts.
KelvinDelta scale_to_1000(KelvinDelta delta, WattsPerSquareMetre irradiance, double exponent);

// The same with uncertainty: of the difference, of the irradiance (an unknown one counts as none), and of the exponent,
// which is taken as evenly likely within the rule's range. Not known where delta or irradiance is not, or irradiance <=
// 0.
Uncertain<KelvinDelta> scale_to_1000(const Uncertain<KelvinDelta>& delta,
                                     const Uncertain<WattsPerSquareMetre>& irradiance,
                                     const PatternRule& rule);

// Irradiance that a difference scales with: as felt by the module, or as measured where that is unknown.
const Uncertain<WattsPerSquareMetre>& scaling_irradiance(const FrameConditions& conditions);

struct ClassDecision {
    AbnormalityClass abnormality = AbnormalityClass::none;  // by the value itself
    double probability = kNaN;                              // that this is the class, the difference being normal
};
ClassDecision classify(const Uncertain<KelvinDelta>& delta_t_1000, const PatternRule& rule);
// That it is this class by this rule; NaN where the difference is not known.
double class_probability(AbnormalityClass abnormality,
                         const Uncertain<KelvinDelta>& delta_t_1000,
                         const PatternRule& rule);

// How much warmer a part gets that stops exporting. Heat-loss coefficients fitted on exporting modules have the export
// taken out already, so the rise is rise_over_air * efficiency / (absorbed - efficiency), not efficiency * G / (U0 + U1
// v). rise_over_air: of an exporting module; absorbed: share of the irradiance. Not known unless 0 < efficiency <
// absorbed.
KelvinDelta lost_export_rise(KelvinDelta rise_over_air, double efficiency, double absorbed);

}  // namespace heatrow
