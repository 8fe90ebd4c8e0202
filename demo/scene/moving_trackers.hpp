// Trackers that follow the sun while the survey is flown: the scene as it stands at each of their moves.
#pragma once

#include "world.hpp"

#include <memory>
#include <vector>

namespace scene {

// Whether any block's trackers move.
bool trackers_move(const SceneSpec& scene);

// The scene with the sun, and so its trackers, as at a time after the first frame: that of the last move before it.
SceneSpec scene_at(const SceneSpec& scene, double time_s);

// The worlds of a day's shots, that of the first frame among them.
class MovingWorlds {
  public:
    // Throws Error (usage) where trackers would turn over from one side to the other, which no plant of a scene can
    // follow. `day` must outlive the object.
    explicit MovingWorlds(const World& day);

    [[nodiscard]] std::size_t count() const { return worlds_.size(); }
    [[nodiscard]] const World& world(std::size_t number) const { return *worlds_[number]; }
    [[nodiscard]] std::size_t number_of(std::size_t shot) const { return number_of_shot_[shot]; }

  private:
    std::vector<std::unique_ptr<World>> moved_;
    std::vector<const World*> worlds_;
    std::vector<std::size_t> number_of_shot_;
};

// time,tracker,angle: what the controllers command, each row of tables a tracker; positive as seen along the axis'
// azimuth clockwise.
std::string tracker_log(const World& day);
// The row that a table stands in, as tracker_log names it.
std::string tracker_name(const PanelTable& table);

}  // namespace scene
