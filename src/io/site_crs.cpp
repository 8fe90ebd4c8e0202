#include "heatrow/io/site_crs.hpp"

#include "heatrow/core/error.hpp"

#include <fmt/format.h>
#include <proj.h>

#include <cmath>

namespace heatrow {

using Eigen::Vector2d;

struct SiteCrs::Transform {
    Transform(const Transform&) = delete;
    Transform& operator=(const Transform&) = delete;

    explicit Transform(const std::string& definition) : context(proj_context_create()) {
        proj_log_level(context, PJ_LOG_NONE);
        PJ* given = proj_create_crs_to_crs(context, definition.c_str(), "EPSG:4326", nullptr);
        if (given != nullptr) {
            // Easting and longitude first, whatever order the CRS declares.
            to_degrees = proj_normalize_for_visualization(context, given);
            proj_destroy(given);
        }
    }
    ~Transform() {
        proj_destroy(to_degrees);
        proj_context_destroy(context);
    }

    PJ_CONTEXT* context;
    PJ* to_degrees = nullptr;
};

SiteCrs::SiteCrs(std::optional<std::string> definition,
                 const SiteProjection& projection,
                 std::string what_failed,
                 std::string setting)
    : definition_(std::move(definition)),
      projection_(&projection),
      what_failed_(std::move(what_failed)),
      setting_(std::move(setting)) {
    if (!definition_) {
        return;
    }
    transform_ = std::make_unique<Transform>(*definition_);
    if (transform_->to_degrees == nullptr) {
        throw Error(ErrorKind::usage,
                    what_failed_,
                    "survey.toml, " + setting_,
                    fmt::format("\"{}\" is no coordinate reference system that PROJ knows", *definition_),
                    "Write its EPSG code, e.g. \"EPSG:25830\"");
    }
}

SiteCrs::~SiteCrs() = default;

Eigen::Vector3d SiteCrs::to_site(double x, double y, Metres above_ellipsoid, std::string_view where) const {
    if (transform_) {
        const PJ_COORD degrees = proj_trans(transform_->to_degrees, PJ_FWD, proj_coord(x, y, 0.0, 0.0));
        if (!std::isfinite(degrees.xy.x) || !std::isfinite(degrees.xy.y)) {
            throw Error(ErrorKind::input,
                        what_failed_,
                        std::string(where),
                        fmt::format("easting {:.10g}, northing {:.10g} lie outside {}", x, y, *definition_),
                        fmt::format("Check {}, and that easting and northing are not swapped", setting_));
        }
        x = degrees.xy.x;
        y = degrees.xy.y;
    }
    return projection_->to_site(x, y, above_ellipsoid);
}

double distance_from_layout(const Layout& layout, const Vector2d& place_in_site) {
    Vector2d low = Vector2d::Constant(HUGE_VAL);
    Vector2d high = Vector2d::Constant(-HUGE_VAL);
    for (const Module& module : layout.modules) {
        for (const auto& corner : module.corners_in_site) {
            low = low.cwiseMin(corner.head<2>());
            high = high.cwiseMax(corner.head<2>());
        }
    }
    return (place_in_site - place_in_site.cwiseMax(low).cwiseMin(high)).norm();
}

bool is_near_if_swapped(const SiteCrs& crs, double x, double y, const Layout& layout) {
    try {
        const Eigen::Vector3d swapped = crs.to_site(y, x, crs.projection().origin().height, "");
        return distance_from_layout(layout, swapped.head<2>()) < kFarthestFromLayout_m;
    } catch (const Error&) {  // out of range: no swap explains it
        return false;
    }
}

}  // namespace heatrow
