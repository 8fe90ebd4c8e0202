#include "sunlight.hpp"

#include "heat_raster.hpp"

#include <Eigen/Geometry>
#include <tbb/parallel_for.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>

namespace scene {
namespace {

constexpr double kDegree = std::numbers::pi / 180.0;

// A face that may stand in the way, and where its shadow falls on the ground.
struct Shader {
    const Face* face = nullptr;
    int table = -1;  // -1 for what is no table
    Eigen::Vector2d low;
    Eigen::Vector2d high;
};

class Shadows {
  public:
    Shadows(const Plant& plant, const std::vector<Slab>& slabs, double azimuth_deg, double elevation_deg)
        : plant_(plant) {
        const double azimuth = azimuth_deg * kDegree;
        const double elevation = std::max(2.0, elevation_deg) * kDegree;
        to_sun_ = {
            std::sin(azimuth) * std::cos(elevation), std::cos(azimuth) * std::cos(elevation), std::sin(elevation)};
        // Four points of the sun's disc: edges of shadows are soft.
        constexpr double kDisc = 0.19 * kDegree;  // 0.7 of its radius
        const Eigen::Vector3d side = to_sun_.unitOrthogonal();
        const Eigen::Vector3d other = to_sun_.cross(side);
        disc_ = {(to_sun_ + kDisc * side).normalized(),
                 (to_sun_ - kDisc * side).normalized(),
                 (to_sun_ + kDisc * other).normalized(),
                 (to_sun_ - kDisc * other).normalized()};
        for (std::size_t i = 0; i < plant.tables.size(); ++i) {
            add(plant.tables[i].face, static_cast<int>(i));
        }
        for (const Slab& slab : slabs) {
            add(slab.face, -1);
        }
    }

    // Shares of the sun's disc that each node of a module sees, on its heat raster; empty where nothing shades it.
    [[nodiscard]] std::vector<float> sun_on(int panel) const {
        const Panel& place = plant_.panels[static_cast<std::size_t>(panel)];
        Eigen::Vector2d low(1e9, 1e9);
        Eigen::Vector2d high(-1e9, -1e9);
        for (const Eigen::Vector3d& corner : plant_.corners_in_site(panel)) {
            const Eigen::Vector2d at = fall(corner);
            low = low.cwiseMin(at);
            high = high.cwiseMax(at);
        }
        std::vector<const Shader*> near;
        for (int bx = bin(low.x()); bx <= bin(high.x()); ++bx) {
            for (int by = bin(low.y()); by <= bin(high.y()); ++by) {
                const auto found = bins_.find({bx, by});
                if (found == bins_.end()) {
                    continue;
                }
                for (const std::size_t index : found->second) {
                    const Shader& shader = shaders_[index];
                    const bool apart = shader.low.x() > high.x() || shader.high.x() < low.x() ||
                                       shader.low.y() > high.y() || shader.high.y() < low.y();
                    if (!apart && shader.table != place.table && std::ranges::find(near, &shader) == near.end()) {
                        near.push_back(&shader);
                    }
                }
            }
        }
        std::vector<float> sun;
        if (near.empty()) {
            return sun;
        }
        const HeatMap raster = heat_raster(plant_.type_of(panel));
        bool shaded = false;
        for (int iy = 0; iy < raster.ny; ++iy) {
            for (int ix = 0; ix < raster.nx; ++ix) {
                const Eigen::Vector3d at =
                    plant_.point_in_site(panel, (ix + 0.5) * raster.dx_m, (iy + 0.5) * raster.dy_m);
                int free = 0;
                for (const Eigen::Vector3d& direction : disc_) {
                    free +=
                        std::ranges::any_of(near, [&](const Shader* s) { return blocks(*s, at, direction); }) ? 0 : 1;
                }
                shaded = shaded || free < 4;
                sun.push_back(static_cast<float>(free) / 4.0F);
            }
        }
        if (!shaded) {
            sun.clear();
        }
        return sun;
    }

  private:
    static constexpr double kBin = 8.0;
    [[nodiscard]] static int bin(double metres) { return static_cast<int>(std::floor(metres / kBin)); }

    // Where the shadow of a point falls at height 0.
    [[nodiscard]] Eigen::Vector2d fall(const Eigen::Vector3d& point) const {
        return (point - point.z() / to_sun_.z() * to_sun_).head<2>();
    }

    void add(const Face& face, int table) {
        Shader shader{&face, table, {1e9, 1e9}, {-1e9, -1e9}};
        for (const double u : {0.0, face.width_m}) {
            for (const double v : {0.0, face.height_m}) {
                const Eigen::Vector2d at = fall(face.at(u, v));
                shader.low = shader.low.cwiseMin(at);
                shader.high = shader.high.cwiseMax(at);
            }
        }
        constexpr double kSoft = 0.05;
        shader.low.array() -= kSoft;
        shader.high.array() += kSoft;
        for (int bx = bin(shader.low.x()); bx <= bin(shader.high.x()); ++bx) {
            for (int by = bin(shader.low.y()); by <= bin(shader.high.y()); ++by) {
                bins_[{bx, by}].push_back(shaders_.size());
            }
        }
        shaders_.push_back(shader);
    }

    [[nodiscard]] bool blocks(const Shader& shader, const Eigen::Vector3d& at, const Eigen::Vector3d& direction) const {
        const Face& face = *shader.face;
        const Eigen::Vector3d offset = at - face.origin;
        const double distance = -face.normal.dot(offset) / face.normal.dot(direction);
        if (!(distance > 1e-3)) {
            return false;
        }
        const double u = face.right.dot(offset) + distance * face.right.dot(direction);
        const double v = face.up.dot(offset) + distance * face.up.dot(direction);
        if (u < 0.0 || v < 0.0 || u > face.width_m || v > face.height_m) {
            return false;
        }
        if (shader.table < 0) {
            return true;
        }
        const PanelTable& table = plant_.tables[static_cast<std::size_t>(shader.table)];
        const int column = std::min(table.along - 1, static_cast<int>(u / (table.place_width_m + table.gap_m)));
        const int tier = std::min(table.tiers - 1, static_cast<int>(v / (table.place_height_m + table.gap_m)));
        const int panel = table.panel_at(column, tier);
        return panel >= 0 && !plant_.panels[static_cast<std::size_t>(panel)].absent;
    }

    const Plant& plant_;
    Eigen::Vector3d to_sun_;
    std::array<Eigen::Vector3d, 4> disc_;
    std::vector<Shader> shaders_;
    std::map<std::pair<int, int>, std::vector<std::size_t>> bins_;
};

}  // namespace

std::vector<Fault> shading_faults(const Plant& plant,
                                  const std::vector<Slab>& slabs,
                                  double sun_azimuth_deg,
                                  double sun_elevation_deg,
                                  double direct_share) {
    const Shadows shadows(plant, slabs, sun_azimuth_deg, sun_elevation_deg);
    std::vector<std::vector<float>> suns(plant.panels.size());
    tbb::parallel_for(std::size_t{0}, suns.size(), [&](std::size_t panel) {
        if (!plant.panels[panel].absent) {
            suns[panel] = shadows.sun_on(static_cast<int>(panel));
        }
    });
    std::vector<Fault> faults;
    for (std::size_t panel = 0; panel < suns.size(); ++panel) {
        if (suns[panel].empty()) {
            continue;
        }
        Fault fault{.pattern = heatrow::Pattern::shading,
                    .panel = static_cast<int>(panel),
                    .string = plant.panels[panel].string,
                    .delta_t_1000_k = std::nan("")};
        const PanelType& type = plant.type_of(fault.panel);
        HeatMap light = heat_raster(type);
        for (const float sun : suns[panel]) {
            light.values.push_back(1.0F - static_cast<float>(direct_share) * (1.0F - sun));
        }
        fault.light_on_cells = cell_means(type, light);
        fault.light_on_nodes = std::move(light.values);
        faults.push_back(std::move(fault));
    }
    return faults;
}

}  // namespace scene
