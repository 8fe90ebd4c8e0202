#include "sample_settings.hpp"

#include "camera_optics.hpp"
#include "heatrow/radiometry/count_table.hpp"
#include "heatrow/sun/module_temperature.hpp"
#include "place_frame.hpp"

#include <cmath>
#include <utility>
#include <vector>

namespace heatrow {
namespace {

// Of the light on a loaded module, what becomes heat: absorbed 0.9, exported 0.2 (common practice, no source). Faiman's
// coefficients relate the rise to all of the light, a sheet loses only what becomes heat.
constexpr double kHeatShare = 0.7;

// From the lowest to the highest temperature of the count table, in steps that leave straight lines 0.2 mK off.
LightScale light_scale(const TemperatureEncoding& encoding, const BandRadiance& band) {
    constexpr double kStepK = 0.5;
    const double from = CountTable::kLowest.value();
    const int steps = static_cast<int>((CountTable::kHighest.value() - from) / kStepK);
    std::vector<double> light;
    for (int i = 0; i <= steps; ++i) {
        light.push_back(radiance_at_camera(Celsius(from + i * kStepK), encoding, band));
    }
    const double first = count_of(Celsius(from), encoding);
    return {first, count_of(Celsius(from + kStepK), encoding) - first, std::move(light)};
}

}  // namespace

SampleOptions sample_options(const SurveyInputs& inputs) {
    const CameraSettings& camera = inputs.settings.frame_camera();
    const Profile& profile = inputs.profile;
    SampleOptions options;
    options.nodata = inputs.settings.temperature.encoding.nodata.value_or(kNaN);
    // the profile counts pixels of the detector
    options.minimum_cell_px = profile.minimum_pixels_per_cell.value / camera.native_share();
    options.minimum_elevation = degrees(profile.minimum_elevation_to_plane_deg.value);
    options.maximum_smear_px = profile.maximum_smear_px.value;
    options.spread = point_spread(optics_of(inputs));
    options.sheet = CellSheet{};
    options.light = light_scale(inputs.settings.temperature.encoding, inputs.band);
    return options;
}

FrameCircumstances circumstances_of(const SurveyInputs& inputs, std::size_t frame) {
    FrameCircumstances circumstances;
    circumstances.camera_motion_in_site = camera_motion(inputs, frame);
    // Rounded, so that frames share fits; where wind is not known, the sheet's own loss stands.
    const double wind = inputs.frame_conditions[frame]->wind.value.value();
    if (std::isfinite(wind)) {
        const FaimanCoefficients loss;
        circumstances.loss_w_m2k = kHeatShare * (loss.u0 + loss.u1 * 0.5 * std::round(2.0 * wind));
    }
    return circumstances;
}

FrameCircumstances circumstances_of(const SurveyInputs& inputs, std::size_t frame, const AcceptedFrame& read) {
    FrameCircumstances circumstances = circumstances_of(inputs, frame);
    circumstances.highest_count = read.range_end ? double{*read.range_end} : kNaN;
    return circumstances;
}

}  // namespace heatrow
