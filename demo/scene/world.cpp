#include "world.hpp"

#include "heatrow/core/time.hpp"
#include "obstacles.hpp"
#include "random.hpp"
#include "seasons.hpp"
#include "sunlight.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <iterator>
#include <numbers>

namespace scene {
namespace {

CameraSpec with_hidden(CameraSpec camera, const HiddenTruth& hidden) {
    camera.time_constant_ms *= hidden.time_constant_factor;
    return camera;
}

// Glass and heat losses belong to the site; all else is new each season.
HiddenTruth hidden_of(const SceneSpec& spec, std::uint64_t site_seed, std::uint64_t seed) {
    HiddenTruth hidden = draw_hidden(spec.hidden, seed);
    const HiddenTruth of_site = draw_hidden(spec.hidden, site_seed);
    hidden.emissivity_offset = of_site.emissivity_offset;
    hidden.heat_loss_factor = of_site.heat_loss_factor;
    return hidden;
}

std::vector<Shot> named_shots(const SceneSpec& scene, const Plant& plant, std::uint64_t seed) {
    std::vector<Shot> shots = plan_shots(scene, plant, seed);
    for (Shot& shot : shots) {
        shot.name = std::filesystem::path(shot.name).replace_extension(scene.camera.encoding.extension).string();
    }
    return shots;
}

// Each module leans a little along its table's right and up.
std::vector<Eigen::Vector3d> draw_normals(const SkySpec& sky, const Plant& plant, std::uint64_t seed) {
    Random random(seed, Stream::module_lean);
    const double deviation = sky.module_lean_deg * std::numbers::pi / 180.0;
    std::vector<Eigen::Vector3d> normals;
    for (int panel = 0; panel < static_cast<int>(plant.panels.size()); ++panel) {
        const Face& face = plant.table_of(panel).face;
        const auto along = static_cast<double>(static_cast<float>(deviation * random.normal()));
        const auto up = static_cast<double>(static_cast<float>(deviation * random.normal()));
        normals.push_back((face.normal + along * face.right + up * face.up).normalized());
    }
    return normals;
}

// The plant as it stands: modules that a fault says are gone are not there.
Plant standing_plant(const SceneSpec& spec, std::uint64_t seed) {
    Plant plant = build_plant(spec, seed);
    for (const Fault& fault : place_faults(spec, plant, seed)) {
        if (fault.pattern == heatrow::Pattern::module_missing) {
            plant.panels[static_cast<std::size_t>(fault.panel)].absent = true;
        }
        if (fault.pattern == heatrow::Pattern::module_replaced && fault.season > 0) {
            plant.panels[static_cast<std::size_t>(fault.panel)].renewals = static_cast<int>(fault.season);
        }
    }
    return plant;
}

std::vector<Slab> all_slabs(const SceneSpec& spec, const Plant& plant, std::uint64_t seed) {
    std::vector<Slab> slabs = build_slabs(spec);
    std::ranges::move(obstacle_slabs(spec, plant, seed), std::back_inserter(slabs));
    return slabs;
}

// A fault is as strong as asked for in the wind of the season that it came in. What heats it is the same later, and the
// difference follows the heat loss, as the differences do that come from the circuit.
void bring_to_wind(std::vector<Fault>& faults, const SceneSpec& spec, std::uint64_t site_seed) {
    const auto rise_in = [&](std::size_t season) {
        const HiddenTruth hidden = hidden_of(spec, site_seed, day_seed(site_seed, season));
        return reference_rise_k(spec.heat, hidden, *spec.seasons[season].wind_m_s);
    };
    for (Fault& fault : faults) {
        if (fault.season != spec.season) {
            fault.delta_t_1000_k *= rise_in(spec.season) / rise_in(fault.season);
        }
    }
}

// Those of the description, then the shade that follows from the sun.
std::vector<Fault> all_faults(const SceneSpec& spec,
                              const Plant& plant,
                              const std::vector<Slab>& slabs,
                              std::uint64_t seed) {
    std::vector<Fault> faults = place_faults(spec, plant, seed);
    bring_to_wind(faults, spec, seed);
    std::ranges::move(
        shading_faults(
            plant, slabs, spec.sky.sun_azimuth_deg, spec.sky.sun_elevation_deg, spec.conditions.direct_share),
        std::back_inserter(faults));
    return faults;
}

HeatReference reference_of(const SceneSpec& spec, const Plant& plant, const Weather& weather) {
    HeatReference reference{weather.reference_rise_k(), spec.conditions.air_c, {}};
    const auto [low, high] = weather.load_range();
    for (const PanelString& string : plant.strings) {
        reference.loads.emplace_back(low * string.load_fraction, high * string.load_fraction);
    }
    return reference;
}

}  // namespace

World::World(const SceneSpec& scene_spec, std::uint64_t scene_seed, Parts parts, const World* day)
    : spec(scene_spec),
      site_seed(scene_seed),
      seed(day_seed(scene_seed, spec.season)),
      hidden(hidden_of(spec, site_seed, seed)),
      true_camera(with_hidden(spec.camera, hidden)),
      plant(standing_plant(spec, site_seed)),
      shots(day != nullptr ? day->shots : named_shots(spec, plant, seed)),
      weather(spec, hidden, plant.types.front(), shots.back().time_s, seed),
      slabs(all_slabs(spec, plant, site_seed)),
      faults(parts == Parts::plan ? std::vector<Fault>() : all_faults(spec, plant, slabs, site_seed)),
      heat(parts == Parts::plan ? std::vector<PanelHeat>()
                                : build_heat(plant, spec.heat, faults, reference_of(spec, plant, weather), site_seed)),
      ground(spec, plant, seed),
      caster(plant, slabs),
      glass(hidden.emissivity_offset),
      clouds(spec.sky, seed),
      normals(draw_normals(spec.sky, plant, site_seed)) {
    rename_plant(plant, spec);  // last: the description calls things by their first names
}

std::string written_time(const World& world, double time_s) {
    return heatrow::to_iso8601(world.spec.start +
                               std::chrono::milliseconds(static_cast<std::int64_t>(std::llround(time_s * 1000.0))));
}

}  // namespace scene
