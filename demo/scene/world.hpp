// Everything that one rendering knows about its scene, built once and then only read.
#pragma once

#include "band_radiance.hpp"
#include "faults.hpp"
#include "flight.hpp"
#include "ground.hpp"
#include "heat_map.hpp"
#include "plant.hpp"
#include "ray_caster.hpp"
#include "scene_spec.hpp"
#include "sky.hpp"
#include "surfaces.hpp"
#include "weather.hpp"

#include <cstdint>
#include <vector>

namespace scene {

struct World {
    World(const SceneSpec& scene_spec, std::uint64_t scene_seed);
    World(const World&) = delete;
    World& operator=(const World&) = delete;

    SceneSpec spec;
    std::uint64_t seed;
    HiddenTruth hidden;
    CameraSpec true_camera;  // with the hidden draws; spec.camera is what survey.toml states
    Plant plant;
    std::vector<Shot> shots;
    Weather weather;
    std::vector<Fault> faults;
    std::vector<PanelHeat> heat;
    Ground ground;
    std::vector<Slab> slabs;
    RayCaster caster;
    BandRadiance band;
    GlassEmissivity glass;
    CloudLayer clouds;
    std::vector<Eigen::Vector2f> leans;  // of each panel's normal, along its table's right and up, rad
};

}  // namespace scene
