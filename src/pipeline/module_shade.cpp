#include "module_shade.hpp"

#include "heatrow/io/site_conditions.hpp"
#include "heatrow/sun/solar_position.hpp"
#include "parallel_items.hpp"

#include <chrono>
#include <numbers>

namespace heatrow {
namespace {

constexpr double kSunRadius = 0.267;                                // deg, its mean apparent radius
constexpr double kSunPerSecond = 2.0 * std::numbers::pi / 86400.0;  // rad, at most
// The sun moves half a degree, its own width, in this time.
constexpr std::chrono::minutes kStep{2};

ShadeOptions shade_options(const Profile& profile) {
    ShadeOptions options;
    options.edge = Metres(profile.shade_edge_m.value);
    options.angle = Radians(degrees(kSunRadius).value() + profile.shade_clock_s.value * kSunPerSecond);
    return options;
}

// Moments that the module's temperature remembers: of its frames, in steps, and from the memory before the first on.
std::vector<UtcTime> moments_of(const SurveyInputs& inputs, const ModuleInput& module) {
    const std::chrono::duration<double, std::ratio<60>> memory(inputs.profile.shade_memory_min.value);
    std::vector<UtcTime> moments;
    for (const int frame : module.fused.frames) {
        const UtcTime time = inputs.frames.priors[static_cast<std::size_t>(frame)].time;
        if (moments.empty()) {
            moments = {time - std::chrono::duration_cast<UtcTime::duration>(memory), time};
        } else if (time - moments.back() >= kStep) {
            moments.push_back(time);
        }
    }
    return moments;
}

std::string thrown_by(const Layout& layout, const ModuleShade& shade) {
    if (shade.table >= 0) {
        return "table " + layout.tables[static_cast<std::size_t>(shade.table)].id;
    }
    return "other modules";
}

}  // namespace

void predict_shade(const SurveyInputs& inputs,
                   const LayoutIndex& site,
                   int threads,
                   const Progress& progress,
                   std::vector<ModuleInput>& modules) {
    const Place place = place_of(inputs.layout.origin);
    const ShadeFinder finder(site, {}, shade_options(inputs.profile));
    for_each_item(modules.size(), threads, "predicting shade", progress, [&](std::size_t i) {
        ModuleInput& module = modules[i];
        const auto moments = moments_of(inputs, module);
        std::vector<Eigen::Vector3d> to_sun;
        for (const UtcTime moment : moments) {
            to_sun.push_back(solar_position(moment, place).direction_in_site());
        }
        ModuleShade shade = finder.on_module(module.fused.module, to_sun);
        if (shade.cells.empty()) {
            return;
        }
        const SolarPosition sun = solar_position(module.time, place);
        module.shade =
            PredictedShade{std::move(shade.cells), thrown_by(inputs.layout, shade), sun.azimuth, sun.elevation()};
    });
}

}  // namespace heatrow
