#include "heatrow/io/site_conditions.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/core/nearest_word.hpp"
#include "heatrow/io/metar.hpp"
#include "heatrow/sun/plane_conditions.hpp"
#include "heatrow/sun/series_quality.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

namespace heatrow {
namespace {

bool holds(const ConditionsSeries& series, WattsPerSquareMetre ConditionsRow::*column) {
    return std::any_of(series.rows().begin(), series.rows().end(), [column](const ConditionsRow& row) {
        return (row.*column).is_known();
    });
}

void append(std::vector<LogFinding>& findings, std::vector<LogFinding> more) {
    std::move(more.begin(), more.end(), std::back_inserter(findings));
}

// Tilt and azimuth of a module to the full degree.
std::pair<int, int> rounded(const Module& module) {
    return {static_cast<int>(std::lround(in_degrees(module.tilt))),
            static_cast<int>(std::lround(in_degrees(wrap_full_turn(module.azimuth)))) % 360};
}

// Planes of the site, that of most modules first, and the one that each module is in.
void group_planes(const Layout& layout, SiteConditions& site) {
    std::map<std::pair<int, int>, int> counts;
    for (const Module& module : layout.modules) {
        ++counts[rounded(module)];
    }
    std::vector<std::pair<std::pair<int, int>, int>> by_count(counts.begin(), counts.end());
    std::stable_sort(
        by_count.begin(), by_count.end(), [](const auto& a, const auto& b) { return a.second > b.second; });
    std::map<std::pair<int, int>, int> plane_of;
    for (const auto& [key, modules] : by_count) {
        const PlaneOrientation plane{degrees(key.first), degrees(key.second)};
        const auto same = std::find_if(site.planes.begin(), site.planes.end(), [&](const PlaneConditions& known) {
            return is_same_plane(known.plane, plane);
        });
        plane_of[key] = static_cast<int>(same - site.planes.begin());
        if (same == site.planes.end()) {
            site.planes.push_back({plane, PlaneSource::measured, 0, {}});
        }
        site.planes[static_cast<std::size_t>(plane_of[key])].modules += modules;
    }
    for (const Module& module : layout.modules) {
        site.plane_of_module.push_back(plane_of[rounded(module)]);
    }
    if (site.planes.empty()) {
        site.planes.emplace_back();
    }
}

std::string words(const PlaneOrientation& plane) {
    return fmt::format("tilt {:.0f} deg, azimuth {:.0f} deg", in_degrees(plane.tilt), in_degrees(plane.azimuth));
}

// The models' standard uncertainty at the median of the rows, in percent.
double model_u_percent(const ConditionsSeries& series) {
    std::vector<double> shares;
    for (const ConditionsRow& row : series.rows()) {
        if (row.poa.is_known()) {
            shares.push_back(row.poa_model_u);
        }
    }
    return shares.empty() ? kNaN : 100.0 * take_median(shares);
}

std::string source_words(const PlaneConditions& plane) {
    if (plane.source == PlaneSource::measured) {
        return "measured";
    }
    const double u = model_u_percent(plane.series);
    return std::isnan(u) ? fmt::format("not to be had {}", describe(plane.source))
                         : fmt::format("modelled {}, u = {:.0f} %", describe(plane.source), u);
}

void note_planes(const SiteConditions& site, bool sensor_plane_declared, std::vector<LogFinding>& findings) {
    const PlaneConditions& usual = site.planes.front();
    if (usual.source != PlaneSource::measured) {
        findings.push_back({"irradiance_is_modelled",
                            static_cast<int>(usual.series.rows().size()),
                            fmt::format("irradiance in the modules' plane ({}) was not measured: {}",
                                        words(usual.plane),
                                        source_words(usual))});
    }
    if (site.planes.size() < 2) {
        return;
    }
    constexpr std::size_t kNamed = 4;
    std::string list;
    for (std::size_t i = 1; i < std::min(site.planes.size(), kNamed + 1); ++i) {
        list += fmt::format("{}{} ({} modules): {}",
                            i == 1 ? "" : "; ",
                            words(site.planes[i].plane),
                            site.planes[i].modules,
                            source_words(site.planes[i]));
    }
    if (site.planes.size() > kNamed + 1) {
        list += fmt::format("; and {} more", site.planes.size() - kNamed - 1);
    }
    int elsewhere = 0;
    for (std::size_t i = 1; i < site.planes.size(); ++i) {
        elsewhere += site.planes[i].modules;
    }
    findings.push_back(
        {"several_planes",
         elsewhere,
         fmt::format("{} of {} modules face elsewhere than the others ({}); irradiance in their own planes: {}.{}",
                     elsewhere,
                     site.plane_of_module.size(),
                     words(usual.plane),
                     list,
                     sensor_plane_declared
                         ? ""
                         : " The sensor is taken to lie in the plane of most modules; declare sensor_tilt and "
                           "sensor_azimuth if it does not")});
}

// The same log with the sensor's plane said, as other planes need it.
ConditionsSeries with_sensor_plane(const ConditionsSeries& series, const PlaneOrientation& plane) {
    LoggerDescription logger = series.logger();
    logger.sensor_plane = logger.sensor_plane.value_or(plane);
    return ConditionsSeries(series.rows(), logger);
}

}  // namespace

Place place_of(const SiteOrigin& origin) {
    return {degrees(origin.latitude_deg), degrees(origin.longitude_deg), origin.height};
}

std::vector<LogFinding> all_doubts(const ConditionsSeries& series,
                                   const std::optional<Place>& place,
                                   const std::optional<PlaneOrientation>& sensor_plane) {
    std::vector<LogFinding> findings = find_row_doubts(series);
    append(findings, find_module_doubts(series));
    if (place && sensor_plane && holds(series, &ConditionsRow::poa)) {
        append(findings, find_sky_doubts(series, *place, sensor_plane));
    } else if (place && holds(series, &ConditionsRow::ghi)) {
        append(findings, find_sky_doubts(series, *place, std::nullopt));
    }
    return findings;
}

SiteConditions read_site_conditions(const ConditionsSettings& settings,
                                    const Layout& layout,
                                    const PlaneOfModule& plane_of_module) {
    SiteConditions site;
    site.log = read_conditions_log(settings.log, settings.clock, settings.options);
    ConditionsLog& log = site.log;
    const Place place = place_of(layout.origin);
    group_planes(layout, site);
    if (settings.reports) {
        MetarFile reports = read_metar_file(*settings.reports, log.series.begins());
        append(log.findings, std::move(reports.findings));
        log.series = with_reports(log.series, reports.reports);
    }
    const PlaneOrientation& usual = site.planes.front().plane;
    const bool declared = log.series.logger().sensor_plane.has_value();
    const ConditionsSeries bound = with_sensor_plane(log.series, usual);
    append(log.findings, all_doubts(bound, place, bound.logger().sensor_plane));
    for (PlaneConditions& plane : site.planes) {
        plane.source = source_for_plane(bound, plane.plane);
        PlaneAt turning;
        if (plane_of_module) {
            const auto number = static_cast<int>(&plane - site.planes.data());
            const auto first = std::find(site.plane_of_module.begin(), site.plane_of_module.end(), number);
            const auto module = static_cast<int>(first - site.plane_of_module.begin());
            turning = [&plane_of_module, module](UtcTime time) { return plane_of_module(module, time); };
        }
        plane.series = in_module_plane(bound, place, plane.plane, settings.albedo, kSamePlane, turning);
    }
    note_planes(site, declared, log.findings);
    return site;
}

ElectricalLog read_survey_electrical(const SurveySettings& settings, const Layout& layout) {
    const ElectricalSettings& electrical = *settings.electrical;
    ElectricalLogOptions options = electrical.options;
    std::vector<std::string>& known = options.known_strings;
    for (const ModuleString& string : layout.strings) {
        known.push_back(string.id);
    }
    for (const auto& [tag, id] : options.strings) {
        if (std::find(known.begin(), known.end(), id) == known.end()) {
            const auto nearest = nearest_word(id, known);
            throw Error(ErrorKind::usage,
                        "cannot use the electrical log",
                        settings.file.string() + ", electrical.strings",
                        fmt::format("'{}' is mapped to '{}', which is no string of the layout", tag, id),
                        nearest ? fmt::format("Did you mean '{}'?", *nearest) : "Name a string as the layout does");
        }
    }
    return read_electrical_log(electrical.log, electrical.clock, options);
}

}  // namespace heatrow
