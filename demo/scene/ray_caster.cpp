#include "ray_caster.hpp"

#include <algorithm>
#include <cmath>

namespace scene {
namespace {

Slab make_slab(const SlabSpec& spec) {
    Slab slab;
    slab.face = make_face({0, 0, 0}, spec.tilt_deg, spec.azimuth_deg, spec.width_m, spec.length_m);
    slab.face.origin = spec.centre_m - slab.face.at(0.5 * spec.width_m, 0.5 * spec.length_m);
    slab.above_air_k = spec.above_air_k;
    slab.emissivity = spec.emissivity;
    slab.texture_k = spec.texture_k;
    return slab;
}

void add_box(std::vector<Slab>& slabs, const DecoySpec& decoy) {
    const double side = decoy.size_m;
    const double height = 1.2 * side;
    SlabSpec lid;
    lid.centre_m = {decoy.position_m.x(), decoy.position_m.y(), height};
    lid.width_m = side;
    lid.length_m = side;
    lid.above_air_k = decoy.above_air_k;
    slabs.push_back(make_slab(lid));
    for (const double azimuth : {0.0, 90.0, 180.0, 270.0}) {
        SlabSpec wall = lid;
        const Slab flat = make_slab({.centre_m = {0, 0, 0}, .tilt_deg = 90.0, .azimuth_deg = azimuth});
        wall.centre_m = lid.centre_m + 0.5 * side * flat.face.normal - Eigen::Vector3d(0.0, 0.0, 0.5 * height);
        wall.length_m = height;
        wall.tilt_deg = 90.0;
        wall.azimuth_deg = azimuth;
        slabs.push_back(make_slab(wall));
    }
}

}  // namespace

std::vector<Slab> build_slabs(const SceneSpec& scene) {
    std::vector<Slab> slabs;
    for (const SlabSpec& spec : scene.slabs) {
        slabs.push_back(make_slab(spec));
    }
    for (const DecoySpec& decoy : scene.decoys) {
        if (decoy.kind == "box") {
            add_box(slabs, decoy);
        }
    }
    return slabs;
}

RayCaster::RayCaster(const Plant& plant, const std::vector<Slab>& slabs) : plant_(plant) {
    for (const PanelTable& table : plant.tables) {
        faces_.push_back(table.face);
    }
    for (const Slab& slab : slabs) {
        faces_.push_back(slab.face);
    }
    for (const Face& face : faces_) {
        Reach reach{{1e9, 1e9}, {-1e9, -1e9}};
        for (const double u : {0.0, face.width_m}) {
            for (const double v : {0.0, face.height_m}) {
                const Eigen::Vector3d at = face.at(u, v);
                reach.low = reach.low.cwiseMin(at.head<2>());
                reach.high = reach.high.cwiseMax(at.head<2>());
                lowest_ = std::min(lowest_, at.z());
                highest_ = std::max(highest_, at.z());
            }
        }
        reaches_.push_back(reach);
    }
    for (int table = 0; table < table_count(); ++table) {
        neighbours_.push_back(neighbours_of(table));
    }
}

RayCaster::Viewpoint RayCaster::viewpoint(const Eigen::Vector3d& position) const {
    Viewpoint from;
    from.position = position;
    for (const Face& face : faces_) {
        const Eigen::Vector3d offset = position - face.origin;
        from.faces.push_back({face.normal.dot(offset), face.right.dot(offset), face.up.dot(offset)});
    }
    return from;
}

bool RayCaster::hit_table(Hit& hit, int table_index, double u, double v) const {
    const PanelTable& table = plant_.tables[static_cast<std::size_t>(table_index)];
    const double pitch_u = table.place_width_m + table.gap_m;
    const double pitch_v = table.place_height_m + table.gap_m;
    const int column = std::min(table.along - 1, static_cast<int>(u / pitch_u));
    const int tier = std::min(table.tiers - 1, static_cast<int>(v / pitch_v));
    const double in_u = u - column * pitch_u;
    const double in_v = v - tier * pitch_v;
    if (in_u > table.place_width_m || in_v > table.place_height_m) {
        return false;  // through the gap
    }
    const int panel = table.panel_at(column, tier);
    if (panel < 0 || plant_.panels[static_cast<std::size_t>(panel)].absent) {
        return false;
    }
    const PanelType& type = plant_.types[static_cast<std::size_t>(table.type)];
    const Placing& p = table.placing;
    hit.panel = panel;
    hit.x = p.x0 + p.xu * in_u + p.xv * in_v;
    hit.y = p.y0 + p.yu * in_u + p.yv * in_v;
    if (hit.facing > 0.0) {
        hit.kind = Hit::Kind::back;
    } else {
        const double rim = type.frame_width_m;
        const bool on_glass =
            hit.x >= rim && hit.y >= rim && hit.x <= type.width_m - rim && hit.y <= type.height_m - rim;
        hit.kind = on_glass ? Hit::Kind::glass : Hit::Kind::rim;
    }
    return true;
}

void RayCaster::try_face(Hit& best,
                         int index,
                         const Viewpoint::FromFace& seen,
                         const Eigen::Vector3d& direction) const {
    const Face& face = faces_[static_cast<std::size_t>(index)];
    const double facing = face.normal.dot(direction);
    const double distance = -seen.height / facing;
    if (!(distance > 1e-6 && distance < best.distance)) {
        return;
    }
    const double u = seen.u + distance * face.right.dot(direction);
    const double v = seen.v + distance * face.up.dot(direction);
    if (u < 0.0 || v < 0.0 || u > face.width_m || v > face.height_m) {
        return;
    }
    Hit hit;
    hit.face = index;
    hit.distance = distance;
    hit.facing = facing;
    if (index >= table_count()) {
        hit.kind = Hit::Kind::slab;
        hit.x = u;
        hit.y = v;
        best = hit;
    } else if (hit_table(hit, index, u, v)) {
        best = hit;
    }
}

Hit RayCaster::cast(const Viewpoint& from, const Eigen::Vector3d& direction, const std::vector<int>& faces) const {
    Hit best;
    for (const int index : faces) {
        try_face(best, index, from.faces[static_cast<std::size_t>(index)], direction);
    }
    return best;
}

std::vector<RayCaster::Neighbour> RayCaster::neighbours_of(int index) const {
    constexpr double kFarthest = 60.0;
    constexpr double kOverPlane = 0.01;  // m; coplanar tables never meet each other's mirrored rays
    const Face& face = faces_[static_cast<std::size_t>(index)];
    const Reach& own = reaches_[static_cast<std::size_t>(index)];
    std::vector<Neighbour> found;
    for (int other = 0; other < face_count(); ++other) {
        const Reach& reach = reaches_[static_cast<std::size_t>(other)];
        const Eigen::Vector2d apart =
            (reach.low - own.high).cwiseMax(own.low - reach.high).cwiseMax(Eigen::Vector2d::Zero());
        if (other == index || apart.norm() > kFarthest) {
            continue;
        }
        const Face& there = faces_[static_cast<std::size_t>(other)];
        double over = -1.0;
        double top = -1e9;
        for (const double u : {0.0, there.width_m}) {
            for (const double v : {0.0, there.height_m}) {
                const Eigen::Vector3d corner = there.at(u, v);
                over = std::max(over, face.normal.dot(corner - face.origin));
                top = std::max(top, corner.z());
            }
        }
        if (over > kOverPlane) {
            found.push_back({other, apart.norm(), top});
        }
    }
    std::ranges::stable_sort(found, {}, &Neighbour::distance_m);
    return found;
}

bool RayCaster::may_meet(int face, const Eigen::Vector3d& at, const Eigen::Vector3d& direction, double spread) const {
    const double level = direction.head<2>().norm();
    const double climb = direction.z() - spread;
    return std::ranges::any_of(neighbours_[static_cast<std::size_t>(face)], [&](const Neighbour& other) {
        return at.z() + other.distance_m * climb / (level + spread) < other.top_m;
    });
}

Hit RayCaster::cast_from(int face, const Eigen::Vector3d& at, const Eigen::Vector3d& direction) const {
    Hit best;
    const double level = direction.head<2>().norm();
    for (const Neighbour& other : neighbours_[static_cast<std::size_t>(face)]) {
        if (at.z() * level + other.distance_m * direction.z() > other.top_m * level) {
            continue;  // passes over it
        }
        const Face& there = faces_[static_cast<std::size_t>(other.face)];
        const Eigen::Vector3d offset = at - there.origin;
        try_face(
            best, other.face, {there.normal.dot(offset), there.right.dot(offset), there.up.dot(offset)}, direction);
    }
    return best;
}

void RayCaster::candidates(const Viewpoint& from,
                           const std::vector<Eigen::Vector3d>& border,
                           std::vector<int>& faces) const {
    faces.clear();
    Eigen::Vector2d low(1e9, 1e9);
    Eigen::Vector2d high(-1e9, -1e9);
    bool level = false;  // a ray that does not go down can hit anything
    for (const Eigen::Vector3d& direction : border) {
        if (direction.z() > -0.02 * direction.norm() || from.position.z() <= highest_) {
            level = true;
            break;
        }
        for (const double z : {lowest_, highest_}) {
            const double distance = (z - from.position.z()) / direction.z();
            const Eigen::Vector2d at = (from.position + distance * direction).head<2>();
            low = low.cwiseMin(at);
            high = high.cwiseMax(at);
        }
    }
    // Between the rays of the border the lens bends lines by far less than a decimetre.
    constexpr double kMargin = 0.15;
    for (int i = 0; i < face_count(); ++i) {
        const Reach& reach = reaches_[static_cast<std::size_t>(i)];
        const bool apart = reach.low.x() > high.x() + kMargin || reach.high.x() < low.x() - kMargin ||
                           reach.low.y() > high.y() + kMargin || reach.high.y() < low.y() - kMargin;
        if (level || !apart) {
            faces.push_back(i);
        }
    }
}

}  // namespace scene
