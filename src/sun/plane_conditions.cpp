#include "heatrow/sun/plane_conditions.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

using HoldsValue = bool (*)(const ConditionsRow&);

bool holds_plane(const ConditionsRow& row) {
    return row.poa.is_known();
}
bool holds_horizontal(const ConditionsRow& row) {
    return row.ghi.is_known();
}
bool holds_split(const ConditionsRow& row) {
    return row.ghi.is_known() && (row.dhi.is_known() || row.dni.is_known());
}

std::ptrdiff_t count(const ConditionsSeries& series, HoldsValue holds) {
    return std::count_if(series.rows().begin(), series.rows().end(), holds);
}

// Beam and diffuse as measured; of two parts the third follows from global = direct cos z + diffuse.
SkyIrradiance measured_sky(const ConditionsRow& row, const SolarPosition& sun) {
    const double cos_zenith = std::cos(sun.true_zenith.value());
    const double direct = row.dni.is_known() ? row.dni.value() : (row.ghi.value() - row.dhi.value()) / cos_zenith;
    const double diffuse = row.dhi.is_known() ? row.dhi.value() : row.ghi.value() - row.dni.value() * cos_zenith;
    return {row.ghi, WattsPerSquareMetre(std::max(direct, 0.0)), WattsPerSquareMetre(std::max(diffuse, 0.0))};
}

CarriedIrradiance in_plane(const ConditionsRow& row,
                           PlaneSource source,
                           const PlaneOrientation& sensor,
                           const PlaneOrientation& modules,
                           const SolarPosition& sun,
                           double albedo) {
    const WattsPerSquareMetre read = source == PlaneSource::other_plane ? row.poa : row.ghi;
    CarriedIrradiance carried = carry_to_plane(read, sensor, modules, sun, albedo);
    if (source == PlaneSource::split && carried.value.is_known()) {
        carried.value = holds_split(row) ? plane_irradiance(measured_sky(row, sun), sun, modules, albedo)
                                         : WattsPerSquareMetre(kNaN);
    }
    return carried;
}

}  // namespace

bool is_same_plane(const PlaneOrientation& a, const PlaneOrientation& b, Radians same_plane) {
    return normal_in_site(a).dot(normal_in_site(b)) >= std::cos(same_plane.value());
}

std::string_view describe(PlaneSource source) {
    switch (source) {
        case PlaneSource::split:
            return "from horizontal irradiance with its measured diffuse or direct part";
        case PlaneSource::horizontal:
            return "from horizontal irradiance, split by a model";
        case PlaneSource::other_plane:
            return "from a sensor in another plane";
        case PlaneSource::measured:
            break;
    }
    return "from a sensor in this plane";
}

PlaneSource source_for_plane(const ConditionsSeries& series, const PlaneOrientation& modules, Radians same_plane) {
    constexpr double kNearlyAll = 0.9;
    const auto plane = count(series, holds_plane);
    const auto& sensor = series.logger().sensor_plane;
    if (plane > 0 && (!sensor || is_same_plane(*sensor, modules, same_plane))) {
        return PlaneSource::measured;
    }
    const auto horizontal = count(series, holds_horizontal);
    const double most = kNearlyAll * static_cast<double>(std::max(plane, horizontal));
    if (horizontal > 0 && static_cast<double>(count(series, holds_split)) >= most) {
        return PlaneSource::split;
    }
    return plane == 0 || (horizontal > 0 && static_cast<double>(horizontal) >= most) ? PlaneSource::horizontal
                                                                                     : PlaneSource::other_plane;
}

bool needs_transposition(const ConditionsSeries& series, const PlaneOrientation& modules, Radians same_plane) {
    return source_for_plane(series, modules, same_plane) != PlaneSource::measured;
}

ConditionsSeries in_module_plane(const ConditionsSeries& series,
                                 const Place& place,
                                 const PlaneOrientation& modules,
                                 double albedo,
                                 Radians same_plane,
                                 const PlaneAt& turning) {
    const PlaneSource source = source_for_plane(series, modules, same_plane);
    if (source == PlaneSource::measured) {
        return series;
    }
    const PlaneOrientation sensor =
        source == PlaneSource::other_plane ? *series.logger().sensor_plane : PlaneOrientation{};
    std::vector<ConditionsRow> rows = series.rows();
    for (ConditionsRow& row : rows) {
        const SolarPosition sun = solar_position(row.time, place);
        const CarriedIrradiance carried =
            in_plane(row, source, sensor, turning ? turning(row.time) : modules, sun, albedo);
        row.poa = carried.value;
        row.poa_model_u = carried.value.is_known() ? carried.model_u_share : 0.0;
    }
    LoggerDescription logger = series.logger();
    logger.irradiance_is_modelled = true;
    logger.sensor_plane = modules;
    return ConditionsSeries(std::move(rows), logger);
}

}  // namespace heatrow
