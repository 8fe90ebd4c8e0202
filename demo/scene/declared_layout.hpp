// The plant as the survey's layout draws it: where it stands, or where [layout_error] says.
#pragma once

#include "plant.hpp"

#include <Eigen/Core>

#include <array>

namespace scene {

class DeclaredLayout {
  public:
    // plant: with the ids of the scene's season. Throws heatrow::Error where a part names a table that is not there.
    DeclaredLayout(const SceneSpec& scene, const Plant& plant);

    // A point in the type's plane coordinates, in the site frame.
    [[nodiscard]] Eigen::Vector3d point_in_site(int panel, double x, double y) const;
    // As Plant::corners_in_site.
    [[nodiscard]] std::array<Eigen::Vector3d, 4> corners_in_site(int panel) const;
    // Which of the wrong parts holds the module, from 0; -1 = none.
    [[nodiscard]] int part_of(int panel) const;

  private:
    const SceneSpec& scene_;
    const Plant& plant_;
    std::vector<int> part_of_table_;
};

}  // namespace scene
