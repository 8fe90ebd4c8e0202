// Differences between any two temperatures of one measurement: areas, their hottest and coldest spots, the reflected
// temperature, and values from outside the picture.
#pragma once

#include "heatrow/core/flags.hpp"
#include "heatrow/core/uncertain.hpp"
#include "heatrow/radiometry/uncertainty.hpp"

#include <string>
#include <variant>

namespace heatrow {

// The reflected apparent temperature that corrected the areas.
struct ReflectedTemperature {
    Celsius value{kNaN};
};

// One side of a difference.
struct DifferenceOperand {
    std::string name;
    // An area as the camera saw it; a typed value or the reading of a contact probe, independent of the camera.
    std::variant<MeasuredArea, ReflectedTemperature, Uncertain<Celsius>> temperature;
    Flags flags;
};

struct DifferenceResult {
    std::string from;  // A of A - B
    std::string to;
    BudgetedDifference difference;
    double outside_u_k = 0.0;  // of values that do not come from the picture; NaN where they have none
    Flags flags;               // lower_bound where the hotter side is clipped

    [[nodiscard]] Uncertain<KelvinDelta> value() const {
        return {difference.value, combine_independent(difference.budget.combined_k(), outside_u_k)};
    }
};

// A minus B. Of two areas the camera's offset cancels; emissivity is one error common to both where they share its
// value, and independent where they do not. An area minus the reflected temperature that corrected it: a wrong
// reflection moves both, apart from each other.
DifferenceResult difference_of(const DifferenceOperand& a,
                               const DifferenceOperand& b,
                               const UncertaintyCauses& causes,
                               const BandRadiance& band);

}  // namespace heatrow
