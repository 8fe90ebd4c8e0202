// What a thermographer determines in the field from areas of a frame taken with emissivity 1: the reflected apparent
// temperature by the reflector method, and the emissivity of a surface by reference material or contact thermometer.
//
// They follow the practice of ASTM E1862 and E1933 (their methods by name V1, steps and figures from memory, M; the
// standards' texts are not reproduced). The camera stands close: no air path.
//
// With L the in-band radiance and T_a apparent temperatures,
//   reflector   L(T_refl) = [L(T_a,foil) - eps_f L(T_foil)] / (1 - eps_f)
//   contact     eps = [L(T_a) - L(T_refl)] / [L(T) - L(T_refl)]
//   reference   eps = eps_ref [L(T_a) - L(T_refl)] / [L(T_a,ref) - L(T_refl)]
// the last because object and reference are equally warm.
#pragma once

#include "heatrow/core/uncertain.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/radiometry/blackbody.hpp"

#include <string_view>
#include <vector>

namespace heatrow {

// Mean apparent temperature of an area, with what belongs to the area alone.
struct ApparentArea {
    Celsius mean{kNaN};
    double independent_u_k = 0.0;  // noise, fixed pattern and sampling of the mean
};

// What the frame's camera adds to all its areas.
struct CameraUncertainties {
    double offset_u_k = 0.0;
    double gain_u = 0.0;       // share of (apparent - gain_pivot)
    Celsius gain_pivot{20.0};  // where a wrong gain does nothing
};

// Half the change of the result between cause minus and cause plus one standard uncertainty.
struct DeterminationTerm {
    std::string_view cause;
    double u = 0.0;  // in the unit of the result
};
struct Determination {
    double value = kNaN;  // degC, or emissivity
    std::vector<DeterminationTerm> terms;
    [[nodiscard]] double u() const;  // root of the sum of squares
};

// Foil, crumpled and flattened again, in place of the object.
struct ReflectorReading {
    ApparentArea foil;
    Uncertain<double> emissivity;    // of the foil
    Uncertain<Celsius> temperature;  // of the foil itself; that of the air will do
};
// Reflected apparent temperature, degC. Throws Error(usage) for an emissivity outside 0..1 (1 excluded) or a value that
// is missing, Error(input) where the foil's own radiance exceeds what was seen.
Determination reflected_by_reflector(const ReflectorReading& reading,
                                     const CameraUncertainties& camera,
                                     const BandRadiance& band);

// From which a determination of emissivity is worth having (profile).
struct EmissivityLimits {
    KelvinDelta least_contrast{0.0};  // between object and reflected temperature
    double most_u = 1.0;              // standard uncertainty of the emissivity
};

struct ContactReading {
    ApparentArea object;
    Uncertain<Celsius> contact;    // of the object's surface, by thermometer
    Uncertain<Celsius> reflected;  // apparent
};
struct ReferenceReading {
    ApparentArea object;
    ApparentArea reference;  // tape or paint on the object, as warm as it
    Uncertain<double> reference_emissivity;
    Uncertain<Celsius> reflected;  // apparent
};
// Emissivity. Throws Error(usage) for a value that is missing or out of range; Error(input), with the figures, where
// object and surroundings differ by less than the limit, the result is less certain than the limit, or it lies outside
// 0..1 by more than twice its uncertainty. A result above 1 within that is given as 1.
Determination emissivity_by_contact(const ContactReading& reading,
                                    const CameraUncertainties& camera,
                                    const EmissivityLimits& limits,
                                    const BandRadiance& band);
Determination emissivity_by_reference(const ReferenceReading& reading,
                                      const CameraUncertainties& camera,
                                      const EmissivityLimits& limits,
                                      const BandRadiance& band);

}  // namespace heatrow
