#include "world.hpp"

#include "random.hpp"

#include <numbers>

namespace scene {
namespace {

CameraSpec with_hidden(CameraSpec camera, const HiddenTruth& hidden) {
    camera.time_constant_ms *= hidden.time_constant_factor;
    return camera;
}

std::vector<Shot> named_shots(const SceneSpec& scene, const Plant& plant, std::uint64_t seed) {
    std::vector<Shot> shots = plan_shots(scene, plant, seed);
    for (Shot& shot : shots) {
        shot.name = std::filesystem::path(shot.name).replace_extension(scene.camera.encoding.extension).string();
    }
    return shots;
}

std::vector<Eigen::Vector2f> draw_leans(const SkySpec& sky, std::size_t panels, std::uint64_t seed) {
    Random random(seed, Stream::module_lean);
    const double deviation = sky.module_lean_deg * std::numbers::pi / 180.0;
    std::vector<Eigen::Vector2f> leans;
    for (std::size_t i = 0; i < panels; ++i) {
        const double along = deviation * random.normal();
        const double up = deviation * random.normal();
        leans.emplace_back(static_cast<float>(along), static_cast<float>(up));
    }
    return leans;
}

}  // namespace

World::World(const SceneSpec& scene_spec, std::uint64_t scene_seed)
    : spec(scene_spec),
      seed(scene_seed),
      hidden(draw_hidden(spec.hidden, seed)),
      true_camera(with_hidden(spec.camera, hidden)),
      plant(build_plant(spec)),
      shots(named_shots(spec, plant, seed)),
      weather(spec, hidden, shots.back().time_s, seed),
      faults(place_faults(spec, plant, seed)),
      heat(build_heat(plant, spec.heat, faults, weather.reference_rise_k(), seed)),
      ground(spec, plant, seed),
      slabs(build_slabs(spec)),
      caster(plant, slabs),
      glass(hidden.emissivity_offset),
      clouds(spec.sky, seed),
      leans(draw_leans(spec.sky, plant.panels.size(), seed)) {}

}  // namespace scene
