// How far a logger's clock was off, found from the sun.
#pragma once

#include "heatrow/core/units.hpp"
#include "heatrow/sun/conditions.hpp"
#include "heatrow/sun/incidence.hpp"
#include "heatrow/sun/solar_position.hpp"

#include <optional>

namespace heatrow {

struct ClockShift {
    Seconds ahead{0.0};  // how far the clock ran ahead of true time: what Clock::shift takes, less what it held
    double u_s = kNaN;   // standard uncertainty, from the scatter between days or the width of the minimum
    double residual_w_m2 = kNaN;  // rms of the readings that fit against the clear sky
    int rows_fitted = 0;          // readings within the fit
    double share_fitted = 0.0;    // of the daytime readings
    int days = 0;
};

// The shift of the time axis (within three hours) under which most readings lie on a clear-sky curve of the sensor's
// plane, each day with a height of its own; clouds count as readings that do not fit. Clear sky: Ineichen & Perez with
// Linke turbidity 3. `plane` is that of the sensor; with `horizontal` the ghi column is used instead of poa.
// Nothing where less than a third of the daytime readings, or fewer than 30, fit any one curve, or where
// they do not lie on both flanks of the day: a log of two hours does not tell a shift from a gain.
struct ClockShiftOptions {
    PlaneOrientation plane;
    bool horizontal = false;
    double albedo = 0.2;
};
std::optional<ClockShift> estimate_clock_shift(const ConditionsSeries& series,
                                               const Place& place,
                                               const ClockShiftOptions& options);

// Clear-sky irradiance on a plane.
WattsPerSquareMetre clear_sky_on_plane(
    UtcTime time, const Place& place, const PlaneOrientation& plane, double albedo, double linke_turbidity = 3.0);

}  // namespace heatrow
