#include "heatrow/measure/spot.hpp"

namespace heatrow {

Metres pixel_footprint(Metres distance, double focal_px) {
    return distance.value() > 0.0 && focal_px > 0.0 ? distance / focal_px : Metres(kNaN);
}

Metres smallest_object(Metres distance, double focal_px) {
    return kSpotPixels * pixel_footprint(distance, focal_px);
}

}  // namespace heatrow
