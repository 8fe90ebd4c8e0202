#include "mirrored_sun.hpp"

#include "frame_sites.hpp"
#include "heatrow/io/site_conditions.hpp"
#include "heatrow/sun/incidence.hpp"
#include "heatrow/sun/solar_position.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace heatrow {
namespace {

const Radians kLobe = degrees(10.0);  // of textured glass, about the mirrored sun (design value, no source)

bool looks_into_lobe(const Module& module, const Eigen::Vector3d& to_sun, const Eigen::Vector3d& camera) {
    const Eigen::Vector3d normal = module.normal_in_site();
    return std::any_of(
        module.corners_in_site.begin(), module.corners_in_site.end(), [&](const Eigen::Vector3d& corner) {
            return glint_angle(normal, to_sun, (camera - corner).normalized()) < kLobe;
        });
}

}  // namespace

std::string mark_mirrored_sun(const SurveyInputs& inputs,
                              const LayoutIndex& site,
                              const std::vector<FrameOutcome>& outcomes,
                              std::vector<ModuleInput>& modules) {
    if (inputs.mosaic) {
        return {};  // nobody knows from where a mosaic saw its modules
    }
    const Place place = place_of(inputs.layout.origin);
    std::vector<Eigen::Vector3d> to_sun;  // by frame
    for (const FramePrior& prior : inputs.frames.priors) {
        to_sun.push_back(solar_position(prior.time, place).direction_in_site());
    }
    const FrameSites sites(inputs, site);
    int marked = 0;
    for (ModuleInput& module : modules) {
        const auto& frames = module.fused.frames;
        const bool always = !frames.empty() && std::all_of(frames.begin(), frames.end(), [&](int index) {
            const auto frame = static_cast<std::size_t>(index);
            return looks_into_lobe(sites.of(frame).module(module.fused.module),
                                   to_sun[frame],
                                   outcomes[frame].record.pose.position_in_site);
        });
        if (always) {
            module.fused.flags.set(Flag::glint);
            ++marked;
        }
    }
    return marked == 0 ? std::string()
                       : fmt::format(
                             "{} of {} modules were only seen within 10 degrees of where their glass mirrors the sun: "
                             "findings there are flagged glint and may be its lobe. Look again with the sun elsewhere.",
                             marked,
                             modules.size());
}

}  // namespace heatrow
