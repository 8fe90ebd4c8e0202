// How a module's surface and the air change its radiance on the way to the camera, view by view.
#pragma once

#include "heatrow/core/conditions.hpp"
#include "heatrow/radiometry/air.hpp"
#include "heatrow/radiometry/emissivity.hpp"
#include "heatrow/radiometry/measurement.hpp"
#include "heatrow/radiometry/sky.hpp"
#include "heatrow/score/profile.hpp"
#include "heatrow/site/module_type.hpp"
#include "survey_inputs.hpp"

#include <Eigen/Core>

#include <optional>

namespace heatrow {

// The air path's constants of a profile.
TransmittanceConstants air_path_of(const Profile& profile);

// Where and when one module was seen.
struct ModuleSight {
    Eigen::Vector3d camera_in_site;
    Eigen::Vector3d module_in_site;  // its centre
    Eigen::Vector3d normal_in_site;
    Radians view_angle{0.0};
    ModuleType::Front front = ModuleType::Front::glass;
};

// Emissivity of the front by view angle, the reflected temperature of the clear sky (or the ground) in the direction of
// the mirrored ray, and the air path. What survey.toml states is the emissivity near the normal and the mean of the sky
// over the half space (docs/radiometry.md). Immutable. `inputs` must outlive it.
class ViewConditions {
  public:
    explicit ViewConditions(const SurveyInputs& inputs);

    [[nodiscard]] ObjectConditions of(const ModuleSight& sight, const FrameConditions& conditions) const;
    // Of the front, seen along its normal.
    [[nodiscard]] double normal_emissivity(ModuleType::Front front) const;

  private:
    [[nodiscard]] double emissivity(const ModuleSight& sight) const;
    [[nodiscard]] Celsius reflected(const ModuleSight& sight, Celsius air) const;

    const SurveyInputs& inputs_;
    std::optional<GlassEmissivity> glass_;  // absent: one value at every angle
    ClearSky sky_;
    TransmittanceConstants air_path_;
};

}  // namespace heatrow
