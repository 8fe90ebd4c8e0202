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
#include <string>
#include <vector>

namespace scene {

struct World {
    // plan: plant, flight and weather alone; there are no temperatures and no faults, and nothing can be rendered.
    enum class Parts { all, plan };
    // day: of which this is another moment, with the same flight.
    World(const SceneSpec& scene_spec, std::uint64_t scene_seed, Parts parts = Parts::all, const World* day = nullptr);
    World(const World&) = delete;
    World& operator=(const World&) = delete;

    // What the temperatures of a module follow at one moment.
    [[nodiscard]] HeatState heat_state(const WeatherNow& now, int panel) const {
        const int string = plant.panels[static_cast<std::size_t>(panel)].string;
        const double of_string = string < 0 ? 1.0 : plant.strings[static_cast<std::size_t>(string)].load_fraction;
        return {now.rise_k / weather.reference_rise_k(), now.irradiance_felt_w_m2 / 1000.0, now.load_felt * of_string};
    }

    SceneSpec spec;
    std::uint64_t site_seed;  // the scene's: of the plant and its faults, the same in every season
    std::uint64_t seed;       // of the day: flight, weather, camera
    HiddenTruth hidden;
    CameraSpec true_camera;  // with the hidden draws; spec.camera is what survey.toml states
    Plant plant;
    std::vector<Shot> shots;
    Weather weather;
    std::vector<Slab> slabs;
    std::vector<Fault> faults;  // listed, drawn, then shade (number 0)
    std::vector<PanelHeat> heat;
    Ground ground;
    RayCaster caster;
    BandRadiance band;
    GlassEmissivity glass;
    CloudLayer clouds;
    std::vector<Eigen::Vector3d> normals;  // of each panel, length 1: for what it mirrors, it leans against its table
};

// A moment of the scene, seconds after the first frame, in UTC as ISO 8601 to the millisecond.
std::string written_time(const World& world, double time_s);

}  // namespace scene
