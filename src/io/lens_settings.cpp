#include "heatrow/io/lens_settings.hpp"

namespace heatrow {

Lens lens_of(const CameraSettings& camera) {
    Lens lens;
    lens.width_px = camera.width_px;
    lens.height_px = camera.height_px;
    lens.focal_px = camera.focal_px;
    lens.principal_point_px = {camera.principal_point_px[0], camera.principal_point_px[1]};
    lens.k1 = camera.distortion[0];
    lens.k2 = camera.distortion[1];
    lens.p1 = camera.distortion[2];
    lens.p2 = camera.distortion[3];
    lens.k3 = camera.distortion[4];
    return lens;
}

}  // namespace heatrow
