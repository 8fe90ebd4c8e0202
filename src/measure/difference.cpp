#include "heatrow/measure/difference.hpp"

namespace heatrow {
namespace {

Celsius value_of(const DifferenceOperand& operand, const BandRadiance& band) {
    if (const auto* area = std::get_if<MeasuredArea>(&operand.temperature)) {
        return object_of_apparent(area->apparent, area->conditions, band);
    }
    if (const auto* reflected = std::get_if<ReflectedTemperature>(&operand.temperature)) {
        return reflected->value;
    }
    return std::get<Uncertain<Celsius>>(operand.temperature).value;
}

double& term(UncertaintyBudget& budget, UncertaintyTerm which) {
    return budget.terms_k[static_cast<std::size_t>(which)];
}

// An area against something that is not of the picture.
void add_side(const DifferenceOperand& side,
              const UncertaintyCauses& causes,
              const BandRadiance& band,
              DifferenceResult& result) {
    if (const auto* area = std::get_if<MeasuredArea>(&side.temperature)) {
        const UncertaintyBudget own = temperature_with_budget(*area, causes, band).budget;
        for (std::size_t i = 0; i < kUncertaintyTermCount; ++i) {
            // one area at most comes this way, so that only the reflection can be there already: its effects add
            result.difference.budget.terms_k[i] += own.terms_k[i];
        }
    } else if (std::holds_alternative<ReflectedTemperature>(side.temperature)) {
        term(result.difference.budget, UncertaintyTerm::reflected) += causes.reflected.value();
    } else {
        result.outside_u_k = combine_independent(result.outside_u_k, std::get<Uncertain<Celsius>>(side.temperature).u);
    }
}

BudgetedDifference of_areas(const MeasuredArea& a,
                            const MeasuredArea& b,
                            UncertaintyCauses causes,
                            const BandRadiance& band) {
    if (a.conditions.emissivity != b.conditions.emissivity) {
        causes.emissivity_spread = combine_independent(causes.emissivity_spread, causes.emissivity);
        causes.emissivity = 0.0;
    }
    return difference_with_budget(a, b, causes, band);
}

}  // namespace

DifferenceResult difference_of(const DifferenceOperand& a,
                               const DifferenceOperand& b,
                               const UncertaintyCauses& causes,
                               const BandRadiance& band) {
    DifferenceResult result;
    result.from = a.name;
    result.to = b.name;
    const auto* area_a = std::get_if<MeasuredArea>(&a.temperature);
    const auto* area_b = std::get_if<MeasuredArea>(&b.temperature);
    if (area_a != nullptr && area_b != nullptr) {
        result.difference = of_areas(*area_a, *area_b, causes, band);
    } else {
        result.difference.value = value_of(a, band) - value_of(b, band);
        add_side(a, causes, band, result);
        add_side(b, causes, band, result);
    }
    if (a.flags.has(Flag::clipped)) {
        result.flags.set(Flag::clipped);
        result.flags.set(Flag::lower_bound);
    } else if (b.flags.has(Flag::clipped)) {
        result.flags.set(Flag::clipped);
    }
    return result;
}

}  // namespace heatrow
