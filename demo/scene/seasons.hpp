// What happens to a site from one season to the next.
#pragma once

#include "faults.hpp"
#include "scene_spec.hpp"

#include <cstdint>
#include <vector>

namespace scene {

// The scene as it is in one of its seasons, counted from 0: its day, conditions and name. All its seasons have a wind.
SceneSpec in_season(const SceneSpec& scene, std::size_t season);

// Seed of what differs from day to day (flight, weather, camera); the site's own draws keep the scene's seed.
std::uint64_t day_seed(std::uint64_t seed, std::size_t season);

// Repairs, growth and replacements since the season before: the faults that are left, with modules that are new as
// faults `module_replaced` without a number.
void change_faults(
    std::vector<Fault>& faults, const SceneSpec& scene, std::size_t season, const Plant& plant, std::uint64_t seed);

// Gives modules, tables and strings the ids that they bear in the scene's season.
void rename_plant(Plant& plant, const SceneSpec& scene);
// The id that the scene's season gives to what the description calls by this one.
std::string season_id_of(const SceneSpec& scene, const std::string& id);

}  // namespace scene
