#include "heatrow/sun/plane_conditions.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

bool has_plane_irradiance(const ConditionsSeries& series) {
    return std::any_of(series.rows().begin(), series.rows().end(), [](const auto& row) { return row.poa.is_known(); });
}

double cos_between(const PlaneOrientation& a, const PlaneOrientation& b) {
    return normal_in_site(a).dot(normal_in_site(b));
}

}  // namespace

bool needs_transposition(const ConditionsSeries& series, const PlaneOrientation& modules, Radians same_plane) {
    if (!has_plane_irradiance(series)) {
        return true;
    }
    const auto& sensor = series.logger().sensor_plane;
    return sensor && cos_between(*sensor, modules) < std::cos(same_plane.value());
}

ConditionsSeries in_module_plane(const ConditionsSeries& series,
                                 const Place& place,
                                 const PlaneOrientation& modules,
                                 double albedo,
                                 Radians same_plane) {
    if (!needs_transposition(series, modules, same_plane)) {
        return series;
    }
    const bool from_plane = has_plane_irradiance(series);
    const PlaneOrientation sensor = from_plane ? *series.logger().sensor_plane : PlaneOrientation{};
    std::vector<ConditionsRow> rows = series.rows();
    std::vector<double> shares;
    for (ConditionsRow& row : rows) {
        const SolarPosition sun = solar_position(row.time, place);
        const WattsPerSquareMetre measured = from_plane ? row.poa : row.ghi;
        const CarriedIrradiance carried = carry_to_plane(measured, sensor, modules, sun, albedo);
        row.poa = carried.value;
        if (!from_plane && row.dni.is_known() && row.dhi.is_known() && carried.value.is_known()) {
            const WattsPerSquareMetre none(0.0);
            row.poa =
                plane_irradiance({row.ghi, std::max(row.dni, none), std::max(row.dhi, none)}, sun, modules, albedo);
        }
        if (row.poa.is_known()) {
            shares.push_back(carried.model_u_share);
        }
    }
    LoggerDescription logger = series.logger();
    logger.irradiance_is_modelled = true;
    logger.sensor_plane = modules;
    if (!shares.empty()) {
        const auto middle = shares.begin() + static_cast<std::ptrdiff_t>(shares.size() / 2);
        std::nth_element(shares.begin(), middle, shares.end());
        logger.irradiance_u_share = std::hypot(logger.irradiance_u_share, *middle);
    }
    return ConditionsSeries(std::move(rows), logger);
}

}  // namespace heatrow
