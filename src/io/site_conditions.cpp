#include "heatrow/io/site_conditions.hpp"

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

std::optional<LogFinding> find_other_planes(const Layout& layout, const PlaneOrientation& usual) {
    constexpr double kApartDeg = 5.0;
    const Eigen::Vector3d normal = normal_in_site(usual);
    const double limit = std::cos(degrees(kApartDeg).value());
    const auto elsewhere = std::count_if(layout.modules.begin(), layout.modules.end(), [&](const Module& module) {
        return normal_in_site({module.tilt, module.azimuth}).dot(normal) < limit;
    });
    if (static_cast<std::size_t>(elsewhere) * 10 <= layout.modules.size()) {
        return std::nullopt;
    }
    return LogFinding{
        "several_planes",
        static_cast<int>(elsewhere),
        fmt::format("{} of {} modules face elsewhere than tilt {:.0f} deg, azimuth {:.0f} deg: the irradiance "
                    "holds for that plane only; survey each orientation with its own log",
                    elsewhere,
                    layout.modules.size(),
                    in_degrees(usual.tilt),
                    in_degrees(usual.azimuth))};
}

}  // namespace

Place place_of(const SiteOrigin& origin) {
    return {degrees(origin.latitude_deg), degrees(origin.longitude_deg), origin.height};
}

PlaneOrientation usual_plane(const Layout& layout) {
    std::map<std::pair<int, int>, int> counts;
    for (const Module& module : layout.modules) {
        const int tilt = static_cast<int>(std::lround(in_degrees(module.tilt)));
        const int azimuth = static_cast<int>(std::lround(in_degrees(wrap_full_turn(module.azimuth)))) % 360;
        ++counts[{tilt, azimuth}];
    }
    const auto most = std::max_element(
        counts.begin(), counts.end(), [](const auto& a, const auto& b) { return a.second < b.second; });
    if (most == counts.end()) {
        return {};
    }
    return {degrees(most->first.first), degrees(most->first.second)};
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

ConditionsLog read_site_conditions(const ConditionsSettings& settings, const Layout& layout) {
    ConditionsLog log = read_conditions_log(settings.log, settings.clock, settings.options);
    const Place place = place_of(layout.origin);
    const PlaneOrientation modules = usual_plane(layout);
    if (settings.reports) {
        MetarFile reports = read_metar_file(*settings.reports, log.series.begins());
        append(log.findings, std::move(reports.findings));
        log.series = with_reports(log.series, reports.reports);
    }
    append(log.findings, all_doubts(log.series, place, log.series.logger().sensor_plane.value_or(modules)));
    if (needs_transposition(log.series, modules)) {
        log.series = in_module_plane(log.series, place, modules, settings.albedo);
        log.findings.push_back({"irradiance_is_modelled",
                                static_cast<int>(log.series.rows().size()),
                                fmt::format("irradiance in the modules' plane was not measured but modelled from {}",
                                            settings.options.logger.sensor_plane ? "a sensor in another plane"
                                                                                 : "horizontal irradiance")});
    }
    if (auto planes = find_other_planes(layout, modules)) {
        log.findings.push_back(std::move(*planes));
    }
    return log;
}

}  // namespace heatrow
