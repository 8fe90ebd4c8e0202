// The conditions of a survey, ready for its frames: log, weather reports, the modules' plane, and every doubt.
#pragma once

#include "heatrow/io/conditions_log.hpp"
#include "heatrow/io/electrical_log.hpp"
#include "heatrow/io/survey_settings.hpp"
#include "heatrow/site/layout.hpp"
#include "heatrow/sun/incidence.hpp"
#include "heatrow/sun/plane_conditions.hpp"
#include "heatrow/sun/solar_position.hpp"

#include <functional>

namespace heatrow {

Place place_of(const SiteOrigin& origin);

// The log as seen from one plane of the site.
struct PlaneConditions {
    PlaneOrientation plane;
    PlaneSource source = PlaneSource::measured;
    int modules = 0;
    ConditionsSeries series;
};

struct SiteConditions {
    ConditionsLog log;                    // its series as read, reports filled in
    std::vector<PlaneConditions> planes;  // that of most modules first; at least one
    std::vector<int> plane_of_module;     // layout index -> planes

    [[nodiscard]] const ConditionsSeries& usual() const { return planes.front().series; }
    [[nodiscard]] const ConditionsSeries& of_module(int module) const {
        return planes[static_cast<std::size_t>(plane_of_module[static_cast<std::size_t>(module)])].series;
    }
};

// The plane of a module at a time, where it turns; an empty function: modules stand still.
using PlaneOfModule = std::function<PlaneOrientation(int module, UtcTime time)>;

// Reads the log as [conditions] says, fills cloud and wind from reports, carries the irradiance to each plane in which
// it was not measured, and adds what series_quality finds. Modules are of one plane where their normals lie within
// kSamePlane of it. A sensor whose plane is not declared is taken to lie in the plane of most modules. `log.findings`
// holds everything: irradiance_is_modelled where that is so for the plane of most modules, several_planes where there
// are more.
// Of modules that turn the first of each plane shows how; a sensor without a declared plane turns with them.
SiteConditions read_site_conditions(const ConditionsSettings& settings,
                                    const Layout& layout,
                                    const PlaneOfModule& plane_of_module = {});

// Reads the log of [electrical] with the layout's strings. Precondition: the settings have the section.
// Throws Error as read_electrical_log does, and (usage) where a tag is mapped to a string that the layout lacks.
ElectricalLog read_survey_electrical(const SurveySettings& settings, const Layout& layout);

// The findings of series_quality that can be had: those that need a place or a plane only where these are known.
std::vector<LogFinding> all_doubts(const ConditionsSeries& series,
                                   const std::optional<Place>& place,
                                   const std::optional<PlaneOrientation>& sensor_plane);

}  // namespace heatrow
