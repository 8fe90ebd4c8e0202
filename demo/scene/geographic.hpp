// Site metres to degrees through PROJ (docs/conventions.md).
#pragma once

#include <Eigen/Core>
#include <proj.h>

#include <memory>

namespace scene {

struct LongitudeLatitude {
    double longitude_deg = 0.0;
    double latitude_deg = 0.0;
};

// Azimuthal equidistant projection on WGS 84 around the site's origin. One thread at a time.
class Geographic {
  public:
    Geographic(double longitude_deg, double latitude_deg);
    [[nodiscard]] LongitudeLatitude from_site(double east_m, double north_m) const;

  private:
    struct Free {
        void operator()(PJ* projection) const { proj_destroy(projection); }
        void operator()(PJ_CONTEXT* context) const { proj_context_destroy(context); }
    };
    std::unique_ptr<PJ_CONTEXT, Free> context_;
    std::unique_ptr<PJ, Free> projection_;
};

}  // namespace scene
