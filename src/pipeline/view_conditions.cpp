#include "view_conditions.hpp"

#include <algorithm>
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

double ViewConditions::normal_emissivity(ModuleType::Front front) const {
    if (inputs_.settings.temperature.emissivity) {
        return *inputs_.settings.temperature.emissivity;
    }
    if (front == ModuleType::Front::polymer) {
        return inputs_.profile.polymer_emissivity.value;
    }
    return glass_ ? (*glass_)(Radians(0.0)) : inputs_.profile.glass_emissivity.value;
}

double ViewConditions::emissivity(const ModuleSight& sight) const {
    const double normal = normal_emissivity(sight.front);
    return glass_ && sight.front == ModuleType::Front::glass
               ? std::min(1.0, normal * (*glass_)(sight.view_angle) / (*glass_)(Radians(0.0)))
               : normal;
}

Celsius ViewConditions::reflected(const ModuleSight& sight, Celsius air) const {
    const std::optional<Celsius>& stated = inputs_.settings.temperature.reflected;
    ClearSky sky = sky_;
    if (stated) {
        // Warmer than the air is no clear sky: a wall, clouds, a hall.
        if (inputs_.profile.reflected_by_direction.value == 0.0 || !(*stated < air)) {
            return *stated;
        }
        sky.zenith_emissivity = zenith_emissivity_of_mean(*stated, air, inputs_.band);
    }
    const Eigen::Vector3d path = (sight.module_in_site - sight.camera_in_site).normalized();
    return sky_temperature(air, mirrored_sine_of_elevation(path, sight.normal_in_site), sky, inputs_.band);
}

ObjectConditions ViewConditions::of(const ModuleSight& sight, const FrameConditions& conditions) const {
    ObjectConditions object;
    object.emissivity = emissivity(sight);
    object.reflected = reflected(sight, conditions.air.value);
    if (inputs_.mosaic) {
        return object;  // how far the camera was is not known any more
    }
    const double humidity = std::isnan(conditions.relative_humidity_percent)
                                ? inputs_.profile.assumed_humidity_percent.value
                                : conditions.relative_humidity_percent;
    // nothing logged and nothing assumed, or air out of the model's range: the path stays uncorrected
    const double air_path = transmittance(
        Metres((sight.module_in_site - sight.camera_in_site).norm()), conditions.air.value, humidity, air_path_);
    if (!std::isnan(air_path)) {
        object.transmittance = air_path;
        object.air = conditions.air.value;
    }
    return object;
}

}  // namespace heatrow
