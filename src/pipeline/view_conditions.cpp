#include "view_conditions.hpp"

#include <cmath>

namespace heatrow {

TransmittanceConstants air_path_of(const Profile& profile) {
    TransmittanceConstants constants;
    constants.h0 = profile.air_path_h0.value;
    constants.h1 = profile.air_path_h1.value;
    constants.h2 = profile.air_path_h2.value;
    constants.h3 = profile.air_path_h3.value;
    constants.x = profile.air_path_x.value;
    constants.alpha1 = profile.air_path_alpha1.value;
    constants.alpha2 = profile.air_path_alpha2.value;
    constants.beta1 = profile.air_path_beta1.value;
    constants.beta2 = profile.air_path_beta2.value;
    return constants;
}

ViewConditions::ViewConditions(const SurveyInputs& inputs) : inputs_(inputs), air_path_(air_path_of(inputs.profile)) {
    sky_.zenith_emissivity = inputs.profile.sky_zenith_emissivity.value;
    sky_.ground_above_air = KelvinDelta(inputs.profile.ground_above_air_k.value);
    if (inputs.profile.glass_by_angle.value == 1.0 && GlassEmissivity::covers(inputs.response)) {
        glass_.emplace(inputs.response);
    }
}

double ViewConditions::emissivity(const ModuleSight& sight) const {
    if (inputs_.settings.temperature.emissivity) {
        return *inputs_.settings.temperature.emissivity;
    }
    if (sight.front == ModuleType::Front::polymer) {
        return inputs_.profile.polymer_emissivity.value;
    }
    return glass_ ? (*glass_)(sight.view_angle) : inputs_.profile.glass_emissivity.value;
}

ObjectConditions ViewConditions::of(const ModuleSight& sight, const FrameConditions& conditions) const {
    ObjectConditions object;
    object.emissivity = emissivity(sight);
    const Eigen::Vector3d path = sight.module_in_site - sight.camera_in_site;
    object.reflected = inputs_.settings.temperature.reflected.value_or(sky_temperature(
        conditions.air.value, mirrored_sine_of_elevation(path.normalized(), sight.normal_in_site), sky_, inputs_.band));
    // no humidity in the log, or air out of the model's range: the path stays uncorrected
    const double air_path =
        transmittance(Metres(path.norm()), conditions.air.value, conditions.relative_humidity_percent, air_path_);
    if (!std::isnan(air_path)) {
        object.transmittance = air_path;
        object.air = conditions.air.value;
    }
    return object;
}

}  // namespace heatrow
