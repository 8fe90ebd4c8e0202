#include "obstacles.hpp"

#include "heatrow/core/error.hpp"
#include "random.hpp"

#include <Eigen/Geometry>

#include <cmath>
#include <numbers>

namespace scene {
namespace {

Slab slab_of(const Face& face, double above_air_k, double emissivity, Slab::Look look = Slab::Look::wall) {
    return {.face = face, .above_air_k = above_air_k, .emissivity = emissivity, .texture_k = 0.0, .look = look};
}

// A rectangle around its middle, its normal and one side given.
Face face_around(const Eigen::Vector3d& middle,
                 const Eigen::Vector3d& right,
                 const Eigen::Vector3d& up,
                 double width_m,
                 double height_m) {
    Face face;
    face.right = right;
    face.up = up;
    face.normal = right.cross(up);
    face.width_m = width_m;
    face.height_m = height_m;
    face.origin = middle - 0.5 * width_m * right - 0.5 * height_m * up;
    return face;
}

// Two rectangles through the axis stand for a post or wall from every side.
void add_upright(std::vector<Slab>& slabs, const ObstacleSpec& spec) {
    const Eigen::Vector3d up(0.0, 0.0, 1.0);
    const Eigen::Vector3d middle(spec.position_m.x(), spec.position_m.y(), spec.base_m + 0.5 * spec.height_m);
    const bool wall = spec.kind == "wall";
    const double depth = wall ? 0.12 : spec.width_m;
    slabs.push_back(
        slab_of(face_around(middle, {1.0, 0.0, 0.0}, up, spec.width_m, spec.height_m), spec.above_air_k, 0.92));
    slabs.push_back(slab_of(face_around(middle, {0.0, 1.0, 0.0}, up, depth, spec.height_m), spec.above_air_k, 0.92));
    slabs.push_back(slab_of(face_around({middle.x(), middle.y(), spec.base_m + spec.height_m},
                                        {1.0, 0.0, 0.0},
                                        {0.0, 1.0, 0.0},
                                        spec.width_m,
                                        depth),
                            spec.above_air_k,
                            0.92));
}

// Tufts of leaves, each a rectangle turned at random, within an upright ellipsoid; light falls through between them.
void add_bush(std::vector<Slab>& slabs, const ObstacleSpec& spec, Random& random) {
    constexpr int kTufts = 60;
    for (int i = 0; i < kTufts; ++i) {
        Eigen::Vector3d at(1.0, 1.0, 1.0);
        while (at.norm() > 1.0) {
            at = {random.uniform(-1.0, 1.0), random.uniform(-1.0, 1.0), random.uniform(-1.0, 1.0)};
        }
        const Eigen::Vector3d middle(spec.position_m.x() + 0.5 * spec.width_m * at.x(),
                                     spec.position_m.y() + 0.5 * spec.width_m * at.y(),
                                     spec.base_m + 0.5 * spec.height_m * (1.0 + at.z()));
        const Eigen::Vector3d normal = Eigen::Vector3d(random.normal(), random.normal(), random.normal()).normalized();
        const Eigen::Vector3d right = normal.unitOrthogonal();
        const double size = random.uniform(0.12, 0.3) * std::min(spec.width_m, spec.height_m);
        slabs.push_back(slab_of(face_around(middle, right, normal.cross(right), size, size),
                                spec.above_air_k + random.normal(),
                                0.96,
                                Slab::Look::leaves));
    }
}

void add_on_module(std::vector<Slab>& slabs, const OnModuleSpec& spec, const Plant& plant) {
    const int panel = plant.find_panel(spec.module);
    if (panel < 0) {
        throw heatrow::Error(heatrow::ErrorKind::usage,
                             "Could not place what lies on a module",
                             "on_module.module, '" + spec.module + "'",
                             "the scene has no such module",
                             "Ids are those of layout.geojson after a rendering.");
    }
    const PanelType& type = plant.type_of(panel);
    const Face& table = plant.table_of(panel).face;
    constexpr double kOver = 0.005;  // above the glass
    const Eigen::Vector3d middle =
        plant.point_in_site(panel, spec.place.x() * type.width_m, spec.place.y() * type.height_m) +
        kOver * table.normal;
    const double turn = spec.turn_deg * std::numbers::pi / 180.0;
    const Eigen::Vector3d along = std::cos(turn) * table.right + std::sin(turn) * table.up;
    const Eigen::Vector3d across = table.normal.cross(along);
    const Slab::Look look = spec.kind == "cable"    ? Slab::Look::dark
                            : spec.kind == "leaves" ? Slab::Look::leaves
                                                    : Slab::Look::fur;
    slabs.push_back(
        slab_of(face_around(middle, along, across, spec.length_m, spec.width_m), spec.above_air_k, 0.95, look));
}

}  // namespace

std::vector<Slab> obstacle_slabs(const SceneSpec& scene, const Plant& plant, std::uint64_t seed) {
    std::vector<Slab> slabs;
    for (std::size_t i = 0; i < scene.obstacles.size(); ++i) {
        if (scene.obstacles[i].kind == "bush") {
            Random random(seed, Stream::obstacles, i);
            add_bush(slabs, scene.obstacles[i], random);
        } else {
            add_upright(slabs, scene.obstacles[i]);
        }
    }
    for (const OnModuleSpec& spec : scene.on_modules) {
        add_on_module(slabs, spec, plant);
    }
    return slabs;
}

}  // namespace scene
