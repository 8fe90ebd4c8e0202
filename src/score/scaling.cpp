#include "heatrow/score/scaling.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

constexpr double kReferenceIrradiance = 1000.0;  // W/m2

}  // namespace

KelvinDelta scale_to_1000(KelvinDelta delta, WattsPerSquareMetre irradiance, double exponent) {
    if (!(irradiance.value() > 0.0)) {
        return KelvinDelta(kNaN);
    }
    return delta * std::pow(kReferenceIrradiance / irradiance.value(), exponent);
}

Uncertain<KelvinDelta> scale_to_1000(const Uncertain<KelvinDelta>& delta,
                                     const Uncertain<WattsPerSquareMetre>& irradiance,
                                     const PatternRule& rule) {
    const KelvinDelta scaled = scale_to_1000(delta.value, irradiance.value, rule.exponent);
    if (!scaled.is_known()) {
        return {};
    }
    const double factor = scale_to_1000(KelvinDelta(1.0), irradiance.value, rule.exponent).value();
    const double irradiance_u = std::isfinite(irradiance.u) ? irradiance.u : 0.0;
    const double from_irradiance = scaled.value() * rule.exponent * irradiance_u / irradiance.value.value();
    const double exponent_u = (rule.exponent_high - rule.exponent_low) / std::sqrt(12.0);
    const double from_exponent =
        scaled.value() * std::log(kReferenceIrradiance / irradiance.value.value()) * exponent_u;
    return {scaled, combine_independent(delta.u * factor, from_irradiance, from_exponent)};
}

const Uncertain<WattsPerSquareMetre>& scaling_irradiance(const FrameConditions& conditions) {
    return conditions.irradiance_felt.is_known() ? conditions.irradiance_felt : conditions.irradiance;
}

double class_probability(AbnormalityClass abnormality,
                         const Uncertain<KelvinDelta>& delta_t_1000,
                         const PatternRule& rule) {
    if (!delta_t_1000.value.is_known()) {
        return kNaN;
    }
    // Of being at or above a limit; a limit that the rule does not have is never reached.
    const auto above = [&](KelvinDelta limit) {
        if (!limit.is_known()) {
            return 0.0;
        }
        const double distance = delta_t_1000.value.value() - limit.value();
        if (!(delta_t_1000.u > 0.0)) {
            return distance >= 0.0 ? 1.0 : 0.0;
        }
        return normal_cdf(distance / delta_t_1000.u);
    };
    const double third = above(rule.class_3_from);
    const double second = std::max(above(rule.class_2_from), third);
    switch (abnormality) {
        case AbnormalityClass::safety_relevant:
            return third;
        case AbnormalityClass::thermal:
            return second - third;
        default:
            return 1.0 - second;
    }
}

ClassDecision classify(const Uncertain<KelvinDelta>& delta_t_1000, const PatternRule& rule) {
    if (!delta_t_1000.value.is_known()) {
        return {};
    }
    const auto reaches = [&](KelvinDelta limit) {
        return limit.is_known() && delta_t_1000.value.value() >= limit.value();
    };
    const AbnormalityClass abnormality = reaches(rule.class_3_from)   ? AbnormalityClass::safety_relevant
                                         : reaches(rule.class_2_from) ? AbnormalityClass::thermal
                                                                      : AbnormalityClass::none;
    return {abnormality, class_probability(abnormality, delta_t_1000, rule)};
}

KelvinDelta lost_export_rise(KelvinDelta rise_over_air, double efficiency, double absorbed) {
    if (!(efficiency > 0.0) || !(efficiency < absorbed)) {
        return KelvinDelta(kNaN);
    }
    return rise_over_air * (efficiency / (absorbed - efficiency));
}

}  // namespace heatrow
