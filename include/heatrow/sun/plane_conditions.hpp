// A conditions log brought into the plane of the modules.
#pragma once

#include "heatrow/sun/conditions.hpp"
#include "heatrow/sun/incidence.hpp"
#include "heatrow/sun/solar_position.hpp"
#include "heatrow/sun/transposition.hpp"

#include <functional>
#include <string_view>

namespace heatrow {

// Orientations closer than this are one plane: turning by 3 deg changes the beam by 3 % at 30 deg of incidence.
inline constexpr Radians kSamePlane = degrees(3.0);

// True where the normals are not farther apart than `same_plane`.
bool is_same_plane(const PlaneOrientation& a, const PlaneOrientation& b, Radians same_plane = kSamePlane);

// Where the irradiance in a plane comes from.
enum class PlaneSource {
    measured,     // in this plane: no sensor plane is declared, or one within `same_plane` of it
    split,        // transposed from horizontal irradiance whose diffuse or direct part was measured too
    horizontal,   // transposed from horizontal irradiance, its parts by a model
    other_plane,  // from a sensor in another plane, by way of the horizontal irradiance that explains its reading
};
// In words, "from ...".
std::string_view describe(PlaneSource source);

// Measured where it is; else the first of split, horizontal and other_plane that nearly all rows with any irradiance
// hold: one source for the whole log, since changing it from row to row would look like a change of the light.
PlaneSource source_for_plane(const ConditionsSeries& series,
                             const PlaneOrientation& modules,
                             Radians same_plane = kSamePlane);

// The plane of modules that turn, at a time; an empty function: they stand still.
using PlaneAt = std::function<PlaneOrientation(UtcTime)>;

// The same series with `poa` in the modules' plane, by the source above: unchanged where measured; else modelled and
// marked so, the models' uncertainty with each row. Rows with the sun less than 5 deg high, or without what the source
// needs, have no irradiance then. `turning`: where `modules` is only the plane of one moment.
ConditionsSeries in_module_plane(const ConditionsSeries& series,
                                 const Place& place,
                                 const PlaneOrientation& modules,
                                 double albedo = kAlbedoGrass,
                                 Radians same_plane = kSamePlane,
                                 const PlaneAt& turning = {});

// True where in_module_plane would have to model.
bool needs_transposition(const ConditionsSeries& series,
                         const PlaneOrientation& modules,
                         Radians same_plane = kSamePlane);

}  // namespace heatrow
