// The conditions of a survey, ready for its frames: log, weather reports, the modules' plane, and every doubt.
#pragma once

#include "heatrow/io/conditions_log.hpp"
#include "heatrow/io/survey_settings.hpp"
#include "heatrow/site/layout.hpp"
#include "heatrow/sun/incidence.hpp"
#include "heatrow/sun/solar_position.hpp"

namespace heatrow {

Place place_of(const SiteOrigin& origin);

// The orientation of most modules, to the full degree; horizontal for an empty layout.
PlaneOrientation usual_plane(const Layout& layout);

// Reads the log as [conditions] says, fills cloud and wind from reports, carries the irradiance to the plane where it
// was measured elsewhere, and adds what series_quality finds. `findings` of the result holds them all; several_planes
// where more than a tenth of the modules face elsewhere than `usual_plane` by more than 5 deg.
ConditionsLog read_site_conditions(const ConditionsSettings& settings, const Layout& layout);

// The findings of series_quality that can be had: those that need a place or a plane only where these are known.
std::vector<LogFinding> all_doubts(const ConditionsSeries& series,
                                   const std::optional<Place>& place,
                                   const std::optional<PlaneOrientation>& sensor_plane);

}  // namespace heatrow
