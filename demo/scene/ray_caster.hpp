// Rays against the flat faces of the scene.
#pragma once

#include "plant.hpp"

#include <Eigen/Core>

#include <cstdint>
#include <vector>

namespace scene {

// A face that is no table: a roof, the wall of a box.
struct Slab {
    Face face;
    double above_air_k = 0.0;  // at 1000 W/m2
    double emissivity = 0.92;
    double texture_k = 0.0;
    enum class Look : std::uint8_t { wall, leaves, dark, fur };  // in visible light
    Look look = Look::wall;
};
// The slabs of the description, and the walls and lid of every "box" decoy.
std::vector<Slab> build_slabs(const SceneSpec& scene);

struct Hit {
    enum class Kind : std::uint8_t { nothing, glass, rim, back, slab };
    Kind kind = Kind::nothing;
    int face = -1;  // tables first, then slabs
    int panel = -1;
    double distance = 1e30;  // in lengths of the direction
    double x = 0.0;          // plane coordinates of the module, or u and v of a slab
    double y = 0.0;
    double facing = 0.0;  // direction . normal, not normalised; negative on the front
};

class RayCaster {
  public:
    RayCaster(const Plant& plant, const std::vector<Slab>& slabs);

    // What a camera position has in common for all its rays.
    struct Viewpoint {
        struct FromFace {
            double height;  // of the camera over the face, along its normal
            double u, v;    // face coordinates of its foot
        };
        Eigen::Vector3d position;
        std::vector<FromFace> faces;
    };
    [[nodiscard]] Viewpoint viewpoint(const Eigen::Vector3d& position) const;

    // The nearest hit among the faces named; the ground is not asked.
    [[nodiscard]] Hit cast(const Viewpoint& from,
                           const Eigen::Vector3d& direction,
                           const std::vector<int>& faces) const;

    // The same for a ray that leaves a table's face at a point, among the faces that stand up over it within 60 m.
    // direction: of length 1.
    [[nodiscard]] Hit cast_from(int face, const Eigen::Vector3d& at, const Eigen::Vector3d& direction) const;
    // Whether cast_from could meet anything along directions within `spread` (rad) of this one.
    [[nodiscard]] bool may_meet(int face,
                                const Eigen::Vector3d& at,
                                const Eigen::Vector3d& direction,
                                double spread) const;

    // Faces that rays through this figure may hit: directions along the border of a patch of the picture.
    void candidates(const Viewpoint& from, const std::vector<Eigen::Vector3d>& border, std::vector<int>& faces) const;

    [[nodiscard]] const Face& face(int index) const { return faces_[static_cast<std::size_t>(index)]; }
    [[nodiscard]] int face_count() const { return static_cast<int>(faces_.size()); }
    [[nodiscard]] int table_count() const { return static_cast<int>(plant_.tables.size()); }

  private:
    struct Reach {
        Eigen::Vector2d low, high;  // east, north
    };
    // A face that stands up over another: how far away at least, seen from above, and how high.
    struct Neighbour {
        int face;
        double distance_m, top_m;
    };
    bool hit_table(Hit& hit, int table, double u, double v) const;
    // Is the face nearer than best? Then best is it.
    void try_face(Hit& best, int index, const Viewpoint::FromFace& seen, const Eigen::Vector3d& direction) const;
    [[nodiscard]] std::vector<Neighbour> neighbours_of(int face) const;

    const Plant& plant_;
    std::vector<Face> faces_;
    std::vector<Reach> reaches_;
    std::vector<std::vector<Neighbour>> neighbours_;  // of the tables, nearest first
    double lowest_ = 0.0;
    double highest_ = 0.0;
};

}  // namespace scene
