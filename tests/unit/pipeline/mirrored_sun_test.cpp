// The mirrored sun, by geometry alone.
#include "mirrored_sun.hpp"

#include "heatrow/io/site_conditions.hpp"
#include "heatrow/sun/incidence.hpp"
#include "heatrow/sun/solar_position.hpp"
#include "support/simulated_site.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;
using Catch::Contains;

TEST_CASE("mirrored sun: modules that every view sees in its lobe are flagged, one view beside it clears them",
          "[pipeline]") {
    SurveyInputs inputs;
    inputs.layout = test::make_site({1, 1, 20, 1});
    inputs.layout.origin.latitude_deg = 39.2;
    inputs.layout.origin.longitude_deg = -4.7;
    const LayoutIndex site(inputs.layout);
    const UtcTime noon = std::chrono::sys_days(std::chrono::year(2026) / 6 / 17) + std::chrono::hours(12);
    const Eigen::Vector3d to_sun = solar_position(noon, place_of(inputs.layout.origin)).direction_in_site();
    constexpr int kModule = 4;
    const Module& module = inputs.layout.modules[kModule];
    const Eigen::Vector3d mirrored = mirrored_sun_direction(module.normal_in_site(), to_sun);

    std::vector<FrameOutcome> outcomes(2);
    for (int frame = 0; frame < 2; ++frame) {
        FramePrior& prior = inputs.frames.priors.emplace_back();
        prior.frame = frame;
        prior.time = noon;
    }
    constexpr double kFar_m = 40.0;
    const auto camera_at = [&](int frame, const Eigen::Vector3d& direction) {
        outcomes[static_cast<std::size_t>(frame)].record.pose.position_in_site =
            module.centre_in_site() + kFar_m * direction.normalized();
    };
    std::vector<ModuleInput> modules(1);
    modules[0].fused.module = kModule;
    modules[0].fused.frames = {0, 1};

    camera_at(0, mirrored);
    camera_at(1, mirrored + Eigen::Vector3d(0.1, 0.0, 0.0));
    CHECK_THAT(mark_mirrored_sun(inputs, site, outcomes, modules),
               Contains("1 of 1 modules were only seen within 10 degrees"));
    CHECK(modules[0].fused.flags.has(Flag::glint));

    modules[0].fused.flags = {};
    camera_at(1, mirrored + Eigen::Vector3d(0.4, 0.0, 0.0));
    CHECK(mark_mirrored_sun(inputs, site, outcomes, modules).empty());
    CHECK_FALSE(modules[0].fused.flags.has(Flag::glint));
}
