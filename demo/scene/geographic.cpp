#include "geographic.hpp"

#include "heatrow/core/error.hpp"

#include <fmt/format.h>

namespace scene {

Geographic::Geographic(double longitude_deg, double latitude_deg) : context_(proj_context_create()) {
    const std::string definition =
        fmt::format("+proj=aeqd +ellps=WGS84 +lon_0={:.15g} +lat_0={:.15g} +units=m", longitude_deg, latitude_deg);
    projection_.reset(proj_create(context_.get(), definition.c_str()));
    if (!projection_) {
        throw heatrow::Error(heatrow::ErrorKind::usage,
                             "Could not set up the projection",
                             "scene.longitude, latitude",
                             definition,
                             "Give degrees within their ranges.");
    }
}

LongitudeLatitude Geographic::from_site(double east_m, double north_m) const {
    const PJ_COORD out = proj_trans(projection_.get(), PJ_INV, proj_coord(east_m, north_m, 0.0, 0.0));
    return {proj_todeg(out.lp.lam), proj_todeg(out.lp.phi)};
}

}  // namespace scene
