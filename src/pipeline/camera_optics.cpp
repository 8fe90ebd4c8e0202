#include "camera_optics.hpp"

#include <cmath>
#include <cstddef>
#include <vector>

namespace heatrow {
namespace {

// Weighted by the response alone: Planck's law moves the mean of the usual band by 1 %.
double mean_wavelength_um(const std::vector<ResponsePoint>& response) {
    double area = 0.0;
    double moment = 0.0;
    for (std::size_t i = 0; i + 1 < response.size(); ++i) {
        const ResponsePoint& a = response[i];
        const ResponsePoint& b = response[i + 1];
        const double width = b.wavelength_um - a.wavelength_um;
        area += 0.5 * width * (a.response + b.response);
        moment += width / 6.0 *
                  (a.response * (2.0 * a.wavelength_um + b.wavelength_um) +
                   b.response * (a.wavelength_um + 2.0 * b.wavelength_um));
    }
    return moment / area;
}

// Every orthomosaic has been resampled once at least. Bilinear weights widen a point by a sixth of a square pixel, in
// the mean over where pixels of the mosaic fall between those of the frames.
double blur_of_pictures_px(const SurveyInputs& inputs) {
    constexpr double kResampledVariance = 1.0 / 6.0;
    const double stated = inputs.settings.frame_camera().blur_sigma_px;
    return inputs.mosaic && stated > 0.0 ? std::sqrt(stated * stated + kResampledVariance) : stated;
}

}  // namespace

Optics optics_of(const SurveyInputs& inputs) {
    const CameraSettings& camera = inputs.settings.frame_camera();
    return {blur_of_pictures_px(inputs),
            camera.f_number,
            camera.pixel_um,
            mean_wavelength_um(inputs.response),
            1.0 / camera.native_share()};
}

double edge_blur_px(const SurveyInputs& inputs) {
    const double stated = inputs.settings.frame_camera().blur_sigma_px;
    return stated > 0.0 ? stated : Optics{}.blur_sigma_px;
}

}  // namespace heatrow
