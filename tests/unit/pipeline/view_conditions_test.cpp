#include "view_conditions.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Matchers::WithinAbs;

namespace {

// Values of the shipped profile that view conditions take.
SurveyInputs survey() {
    SurveyInputs inputs;
    inputs.profile.glass_by_angle.value = 1.0;
    inputs.profile.glass_emissivity.value = 0.85;
    inputs.profile.polymer_emissivity.value = 0.95;
    inputs.profile.sky_zenith_emissivity.value = 0.28;
    inputs.profile.ground_above_air_k.value = 10.0;
    inputs.profile.reflected_by_direction.value = 1.0;
    return inputs;
}

// A level module seen from a direction that leans from the vertical by this much.
ModuleSight sight(double from_normal_deg, double tilt_deg = 0.0) {
    ModuleSight result;
    const double tilt = degrees(tilt_deg).value();
    const double lean = degrees(from_normal_deg + tilt_deg).value();
    result.module_in_site = {0.0, 0.0, 1.0};
    result.normal_in_site = {std::sin(tilt), 0.0, std::cos(tilt)};
    result.camera_in_site = result.module_in_site + 30.0 * Eigen::Vector3d(std::sin(lean), 0.0, std::cos(lean));
    result.view_angle = degrees(from_normal_deg);
    return result;
}

FrameConditions weather(double humidity_percent = kNaN) {
    FrameConditions conditions;
    conditions.air = {Celsius(25.0), 0.5};
    conditions.relative_humidity_percent = humidity_percent;
    return conditions;
}

}  // namespace

TEST_CASE("view conditions: a stated emissivity is the one near the normal and falls as glass does", "[pipeline]") {
    SurveyInputs inputs = survey();
    const double at_normal = ViewConditions(inputs).of(sight(0.0), weather()).emissivity;
    const double at_70 = ViewConditions(inputs).of(sight(70.0), weather()).emissivity;
    CHECK_THAT(at_normal, WithinAbs(0.886, 0.001));  // docs/radiometry.md
    CHECK_THAT(at_70, WithinAbs(0.698, 0.001));
    inputs.settings.temperature.emissivity = 0.86;
    const ViewConditions stated(inputs);
    CHECK_THAT(stated.of(sight(0.0), weather()).emissivity, WithinAbs(0.86, 1e-12));
    CHECK_THAT(stated.of(sight(20.0), weather()).emissivity, WithinAbs(0.86, 0.002));
    CHECK_THAT(stated.of(sight(70.0), weather()).emissivity, WithinAbs(0.86 * at_70 / at_normal, 1e-12));
    CHECK(stated.normal_emissivity(ModuleType::Front::glass) == 0.86);
    ModuleSight polymer = sight(70.0);
    polymer.front = ModuleType::Front::polymer;
    CHECK(stated.of(polymer, weather()).emissivity == 0.86);
    inputs.profile.glass_by_angle.value = 0.0;
    CHECK(ViewConditions(inputs).of(sight(70.0), weather()).emissivity == 0.86);
}

TEST_CASE("view conditions: a stated reflected temperature is the sky's mean, taken to what is mirrored",
          "[pipeline]") {
    SurveyInputs inputs = survey();
    inputs.settings.temperature.reflected = Celsius(-20.0);
    const ViewConditions stated(inputs);
    const auto reflected = [&](const ViewConditions& view, double angle, double tilt) {
        return view.of(sight(angle, tilt), weather()).reflected.value();
    };
    // zenith emissivity 0.29 (docs/radiometry.md): -38.5 degC there, warmer towards the horizon, ground below it
    CHECK_THAT(reflected(stated, 0.0, 0.0), WithinAbs(-38.3, 1.0));
    CHECK(reflected(stated, 60.0, 0.0) > reflected(stated, 0.0, 0.0) + 15.0);
    // mirrored 60 + 2 x 40 degrees from the zenith on the other side: ground
    CHECK_THAT(reflected(stated, -60.0, 70.0), WithinAbs(35.0, 1e-9));
    inputs.settings.temperature.reflected = Celsius(30.0);  // a wall, clouds: no clear sky
    CHECK(reflected(ViewConditions(inputs), 0.0, 0.0) == 30.0);
    inputs.settings.temperature.reflected = Celsius(-20.0);
    inputs.profile.reflected_by_direction.value = 0.0;
    CHECK(reflected(ViewConditions(inputs), -60.0, 70.0) == -20.0);
}

TEST_CASE("view conditions: the air path is taken out with the humidity logged, or else the assumed one",
          "[pipeline]") {
    SurveyInputs inputs = survey();
    CHECK(ViewConditions(inputs).of(sight(0.0), weather()).transmittance == 1.0);
    const TransmittanceConstants family;  // the shipped profile's
    inputs.profile.air_path_h0.value = family.h0;
    inputs.profile.air_path_h1.value = family.h1;
    inputs.profile.air_path_h2.value = family.h2;
    inputs.profile.air_path_h3.value = family.h3;
    inputs.profile.air_path_x.value = family.x;
    inputs.profile.air_path_alpha1.value = family.alpha1;
    inputs.profile.air_path_alpha2.value = family.alpha2;
    inputs.profile.air_path_beta1.value = family.beta1;
    inputs.profile.air_path_beta2.value = family.beta2;
    const double logged = ViewConditions(inputs).of(sight(0.0), weather(50.0)).transmittance;
    CHECK(logged < 0.98);
    CHECK(ViewConditions(inputs).of(sight(0.0), weather()).transmittance == 1.0);
    inputs.profile.assumed_humidity_percent.value = 50.0;
    CHECK(ViewConditions(inputs).of(sight(0.0), weather()).transmittance == logged);
    CHECK(ViewConditions(inputs).of(sight(0.0), weather(20.0)).transmittance > logged);
}
