// Which modules are alike and near: the candidates for a reference.
#pragma once

#include "heatrow/core/units.hpp"
#include "heatrow/site/layout.hpp"

#include <vector>

namespace heatrow {

struct NeighbourOptions {
    Metres radius{0.0};           // nothing farther away counts
    int wanted = 0;               // at most so many
    Radians tilt_tolerance{0.0};  // like: same type, tilt and azimuth within these
    Radians azimuth_tolerance{0.0};
};

// Same type, tilt and azimuth within the tolerances. Below 0.5 deg of tilt the azimuth has no meaning and is not
// compared (as in docs/formats/layout.md).
bool are_like(const Module& a, const Module& b, const NeighbourOptions& options);

// Finds neighbours through a grid over the site; holds a reference to the layout.
class NeighbourIndex {
  public:
    NeighbourIndex(const Layout& layout, const NeighbourOptions& options);

    // Like modules within the radius, without `module` itself, nearest first, equal distances by layout index. At most
    // half of those wanted come from the module's own table while other tables have enough, so that a table that is hot
    // as a whole is not compared with itself alone.
    // eligible: one value per module of the layout, 0 = may not serve; empty = all may.
    [[nodiscard]] std::vector<int> nearest(int module, const std::vector<char>& eligible = {}) const;

  private:
    struct Candidate {
        double distance_m;
        int module;
    };
    // Like modules in the ring of grid buckets at most `reach` buckets away.
    [[nodiscard]] std::vector<Candidate> collect(int module, int reach, const std::vector<char>& eligible) const;
    [[nodiscard]] std::vector<int> choose(int module, std::vector<Candidate> candidates) const;

    const Layout& layout_;
    NeighbourOptions options_;
    std::vector<Eigen::Vector3d> centres_;
    Eigen::Vector2d lowest_{0.0, 0.0};
    double bucket_m_ = 1.0;
    int columns_ = 0;
    int rows_ = 0;
    std::vector<std::vector<int>> buckets_;
};

}  // namespace heatrow
