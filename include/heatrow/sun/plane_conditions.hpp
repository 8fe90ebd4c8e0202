// A conditions log brought into the plane of the modules.
#pragma once

#include "heatrow/sun/conditions.hpp"
#include "heatrow/sun/incidence.hpp"
#include "heatrow/sun/solar_position.hpp"
#include "heatrow/sun/transposition.hpp"

namespace heatrow {

// The same series with `poa` in the modules' plane:
// - measured there (no sensor plane declared, or one within `same_plane` of it): unchanged;
// - measured in another plane: carried over by carry_to_plane;
// - only horizontal irradiance: transposed, from `dni` and `dhi` where the row has both, else by carry_to_plane.
// In the last two cases the series is marked as modelled and the models' uncertainty is joined to the sensor's. Rows
// with the sun less than 5 deg high have no irradiance then.
ConditionsSeries in_module_plane(const ConditionsSeries& series,
                                 const Place& place,
                                 const PlaneOrientation& modules,
                                 double albedo = kAlbedoGrass,
                                 Radians same_plane = degrees(3.0));

// True where in_module_plane would have to model.
bool needs_transposition(const ConditionsSeries& series,
                         const PlaneOrientation& modules,
                         Radians same_plane = degrees(3.0));

}  // namespace heatrow
