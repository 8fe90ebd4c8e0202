// Obstacles and things on modules as flat rectangles, which rays meet and which shade modules.
#pragma once

#include "plant.hpp"
#include "ray_caster.hpp"
#include "scene_spec.hpp"

#include <cstdint>
#include <vector>

namespace scene {

std::vector<Slab> obstacle_slabs(const SceneSpec& scene, const Plant& plant, std::uint64_t seed);

}  // namespace scene
