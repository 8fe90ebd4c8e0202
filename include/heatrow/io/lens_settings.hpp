// The lens that survey.toml describes.
#pragma once

#include "heatrow/camera/lens.hpp"
#include "heatrow/io/survey_settings.hpp"

namespace heatrow {

Lens lens_of(const CameraSettings& camera);

}  // namespace heatrow
