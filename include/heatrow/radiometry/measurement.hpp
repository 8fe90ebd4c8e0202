// The measurement equation and its inverse.
//
//   L = tau [eps L(T) + (1 - eps) L(T_refl)] + (1 - tau) L(T_air)
//
// L is in-band radiance. Form: Minkina & Dudzik, Infrared Thermography: Errors and Uncertainties, pp. 164 and 171, as
// restated in public sources (docs/radiometry.md).
#pragma once

#include "heatrow/core/units.hpp"
#include "heatrow/radiometry/blackbody.hpp"

#include <string>

namespace heatrow {

struct ObjectConditions {
    double emissivity = 1.0;     // of the object, in the camera's band and view direction
    Celsius reflected{kNaN};     // reflected apparent temperature; needed where emissivity is below 1
    double transmittance = 1.0;  // of the air path
    Celsius air{kNaN};           // temperature of the air path; needed where transmittance is below 1
};

// What is wrong with the conditions, as a sentence; empty if nothing. Every function below returns NaN for conditions
// that have a problem.
std::string problem_with(const ObjectConditions& conditions);

// Radiance at the camera of an object at this temperature, W/(m2 sr).
double measured_radiance(Celsius object, const ObjectConditions& conditions, const BandRadiance& band);

// L(T) of the object, W/(m2 sr); NaN where what is left for the object is zero or negative, that is where the object
// would have to be colder than the stated reflection and air path allow.
double object_radiance(double measured, const ObjectConditions& conditions, const BandRadiance& band);

// The blackbody temperature that a camera with emissivity and transmittance set to one shows for the object.
Celsius apparent_of_object(Celsius object, const ObjectConditions& conditions, const BandRadiance& band);

// The inverse: the object's temperature from its apparent (blackbody) temperature.
Celsius object_of_apparent(Celsius apparent, const ObjectConditions& conditions, const BandRadiance& band);

}  // namespace heatrow
