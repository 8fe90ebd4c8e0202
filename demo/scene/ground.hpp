// The ground as a raster of differences to air: texture, shade of the tables, decoys lying on it.
#pragma once

#include "plant.hpp"

#include <cstdint>
#include <vector>

namespace scene {

class Ground {
  public:
    Ground(const SceneSpec& scene, const Plant& plant, std::uint64_t seed);

    // Kelvin above air at 1000 W/m2, by east and north, m; the mean beyond the raster.
    [[nodiscard]] double at(double east, double north) const {
        const double px = (east - west_) / node_;
        const double py = (north - south_) / node_;
        if (!(px >= 0.0 && py >= 0.0 && px < nx_ - 1 && py < ny_ - 1)) {
            return beyond_;
        }
        const int ix = static_cast<int>(px);
        const int iy = static_cast<int>(py);
        const double fx = px - ix;
        const double fy = py - iy;
        const float* row = values_.data() + static_cast<std::ptrdiff_t>(iy) * nx_ + ix;
        const double lower = static_cast<double>(row[0]) + fx * static_cast<double>(row[1] - row[0]);
        const double upper = static_cast<double>(row[nx_]) + fx * static_cast<double>(row[nx_ + 1] - row[nx_]);
        return lower + fy * (upper - lower);
    }

    // Where a ray that goes down meets it.
    [[nodiscard]] Eigen::Vector3d meet(const Eigen::Vector3d& from, const Eigen::Vector3d& direction) const {
        const double above = from.z() - terrain_.height(from.x(), from.y());
        const double nearing = direction.z() - terrain_.height(direction.x(), direction.y());
        return from - above / nearing * direction;
    }

  private:
    void add_texture(const GroundSpec& spec, std::uint64_t seed);
    void add_shade(const SceneSpec& scene, const Plant& plant);
    void add_decoy(const DecoySpec& decoy, std::uint64_t seed);

    TerrainSpec terrain_;
    double west_ = 0.0;
    double south_ = 0.0;
    double node_ = 0.05;
    int nx_ = 0;
    int ny_ = 0;
    double beyond_ = 0.0;
    std::vector<float> values_;
};

}  // namespace scene
