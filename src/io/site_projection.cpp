#include "heatrow/io/site_projection.hpp"

#include "heatrow/core/error.hpp"

#include <fmt/format.h>
#include <proj.h>

#include <cmath>

namespace heatrow {
namespace {

constexpr std::string_view kFailed = "cannot place a point on the site";

}  // namespace

struct SiteProjection::Transform {
    Transform(const Transform&) = delete;
    Transform& operator=(const Transform&) = delete;

    explicit Transform(const SiteOrigin& origin) : context(proj_context_create()) {
        proj_log_level(context, PJ_LOG_NONE);
        const std::string definition = fmt::format(
            "+proj=aeqd +ellps=WGS84 +lon_0={:.15g} +lat_0={:.15g}", origin.longitude_deg, origin.latitude_deg);
        projection = proj_create(context, definition.c_str());
    }
    ~Transform() {
        proj_destroy(projection);
        proj_context_destroy(context);
    }

    PJ_CONTEXT* context;
    PJ* projection = nullptr;
};

SiteProjection::SiteProjection(const SiteOrigin& origin) : origin_(origin) {
    const bool on_earth = std::abs(origin.longitude_deg) <= 360.0 && std::abs(origin.latitude_deg) <= 90.0 &&
                          std::isfinite(origin.height.value());
    if (on_earth) {
        transform_ = std::make_unique<Transform>(origin);
    }
    if (!on_earth || transform_->projection == nullptr) {
        throw Error(ErrorKind::usage,
                    kFailed,
                    "site origin",
                    fmt::format("longitude {}, latitude {}, height {} m is no place on earth",
                                origin.longitude_deg,
                                origin.latitude_deg,
                                origin.height.value()),
                    "Give site.origin in WGS 84 degrees");
    }
}

SiteProjection::SiteProjection(SiteProjection&&) noexcept = default;
SiteProjection& SiteProjection::operator=(SiteProjection&&) noexcept = default;
SiteProjection::~SiteProjection() = default;

Eigen::Vector3d SiteProjection::to_site(double longitude_deg, double latitude_deg, Metres height) const {
    const bool valid = std::abs(longitude_deg) <= 360.0 && std::abs(latitude_deg) <= 90.0;
    const PJ_COORD degrees = proj_coord(proj_torad(longitude_deg), proj_torad(latitude_deg), 0.0, 0.0);
    const PJ_COORD metres = valid ? proj_trans(transform_->projection, PJ_FWD, degrees)
                                  : proj_coord(HUGE_VAL, HUGE_VAL, HUGE_VAL, HUGE_VAL);
    if (!std::isfinite(metres.xy.x) || !std::isfinite(metres.xy.y)) {
        throw Error(ErrorKind::input,
                    kFailed,
                    fmt::format("longitude {}, latitude {}", longitude_deg, latitude_deg),
                    "it cannot be projected to site metres",
                    "Check that the coordinates are WGS 84 degrees, longitude first");
    }
    return {metres.xy.x, metres.xy.y, (height - origin_.height).value()};
}

SiteProjection::Geographic SiteProjection::to_geographic(const Eigen::Vector3d& point_in_site) const {
    const PJ_COORD metres = proj_coord(point_in_site.x(), point_in_site.y(), 0.0, 0.0);
    const PJ_COORD radians = proj_trans(transform_->projection, PJ_INV, metres);
    if (!std::isfinite(radians.lp.lam) || !std::isfinite(radians.lp.phi)) {
        throw Error(ErrorKind::input,
                    kFailed,
                    fmt::format("east {} m, north {} m", point_in_site.x(), point_in_site.y()),
                    "it has no place on earth",
                    "Check the coordinates");
    }
    return {proj_todeg(radians.lp.lam), proj_todeg(radians.lp.phi), Metres(point_in_site.z()) + origin_.height};
}

}  // namespace heatrow
