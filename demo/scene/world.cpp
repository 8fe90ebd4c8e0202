#include "world.hpp"

namespace scene {
namespace {

CameraSpec with_hidden(CameraSpec camera, const HiddenTruth& hidden) {
    camera.blur_sigma_px *= hidden.blur_factor;
    camera.time_constant_ms *= hidden.time_constant_factor;
    return camera;
}

}  // namespace

World::World(const SceneSpec& scene_spec, std::uint64_t scene_seed)
    : spec(scene_spec),
      seed(scene_seed),
      hidden(draw_hidden(spec.hidden, seed)),
      true_camera(with_hidden(spec.camera, hidden)),
      plant(build_plant(spec)),
      shots(plan_shots(spec, plant, seed)),
      weather(spec, hidden, shots.back().time_s, seed),
      faults(place_faults(spec, plant, seed)),
      heat(build_heat(plant, spec.heat, faults, weather.reference_rise_k(), seed)),
      ground(spec, plant, seed),
      slabs(build_slabs(spec)),
      caster(plant, slabs),
      glass(hidden.emissivity_offset) {}

}  // namespace scene
