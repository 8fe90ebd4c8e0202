// Standard uncertainty of a temperature, and of a difference between two areas of one frame, by separate terms.
//
// First order: each cause times its sensitivity, computed from the slopes of the measurement equation. A cause that
// acts on both areas alike enters a difference with the difference of its two effects: the camera's offset cancels up
// to the change of slope; gain, emissivity and size of source do not; noise and residual non-uniformity are independent
// between areas. A cause whose sensitivity is not known (emissivity 1 stated, reflected temperature not) makes its term
// NaN unless the cause is zero.
#pragma once

#include "heatrow/core/uncertain.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/radiometry/blackbody.hpp"
#include "heatrow/radiometry/measurement.hpp"

#include <array>
#include <string_view>

namespace heatrow {

// Standard uncertainties of the causes. All act on the apparent temperature unless the comment says otherwise.
struct UncertaintyCauses {
    KelvinDelta noise{0.0};  // of one pixel; divided by the root of the pixels of an area
    // One count, K; step / sqrt(12) of one pixel. Divided like noise where the noise is half a step or more; below that
    // neighbouring pixels round alike and a mean keeps the whole error.
    KelvinDelta quantisation_step{0.0};
    KelvinDelta non_uniformity{0.0};    // residual fixed pattern of an area's mean, independent between areas
    KelvinDelta camera_offset{0.0};     // common to the frame
    double camera_gain = 0.0;           // share of (apparent - gain_pivot), common to the frame
    Celsius gain_pivot{20.0};           // temperature at which a wrong gain does nothing: the camera's own
    double emissivity = 0.0;            // common to both areas: the stated value is wrong for the material
    double emissivity_spread = 0.0;     // independent between areas: coating, dirt, view angle
    KelvinDelta reflected{0.0};         // common to both areas
    KelvinDelta reflected_spread{0.0};  // independent between areas: structure of the sky, neighbours
    double transmittance = 0.0;         // of the air path, common
    KelvinDelta air{0.0};               // of its temperature, common
    double size_of_source = 0.0;        // share of an area's signal that stems from around it
};

// One measured area.
struct MeasuredArea {
    Celsius apparent{kNaN};      // mean apparent (blackbody) temperature
    Celsius surroundings{kNaN};  // apparent temperature around it; not known: no size-of-source term
    ObjectConditions conditions;
    double pixels = 1.0;               // number of pixels in the mean
    KelvinDelta spread{0.0};           // standard deviation of apparent temperature over the area beyond noise
    double independent_samples = 1.0;  // number of independent samples behind that spread
};

enum class UncertaintyTerm {
    noise,
    sampling,
    non_uniformity,
    camera_offset,
    camera_gain,
    emissivity,
    reflected,
    air_path,
    size_of_source,
};
inline constexpr std::size_t kUncertaintyTermCount = 9;
std::string_view to_string(UncertaintyTerm term);

// Standard uncertainty of each term, K.
struct UncertaintyBudget {
    std::array<double, kUncertaintyTermCount> terms_k{};

    [[nodiscard]] double term_k(UncertaintyTerm term) const { return terms_k[static_cast<std::size_t>(term)]; }
    // Root of the sum of squares; NaN if a term is.
    [[nodiscard]] double combined_k() const;
};

struct BudgetedTemperature {
    Celsius value{kNaN};
    UncertaintyBudget budget;
};
struct BudgetedDifference {
    KelvinDelta value{kNaN};
    UncertaintyBudget budget;
};

// Object temperature of an area. Value and terms are NaN where the measurement equation has no solution.
BudgetedTemperature temperature_with_budget(const MeasuredArea& area,
                                            const UncertaintyCauses& causes,
                                            const BandRadiance& band);

// Object temperature of `a` minus that of `b`, both from one frame.
BudgetedDifference difference_with_budget(const MeasuredArea& a,
                                          const MeasuredArea& b,
                                          const UncertaintyCauses& causes,
                                          const BandRadiance& band);

}  // namespace heatrow
