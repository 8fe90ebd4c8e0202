#include "mirror_truth.hpp"

#include "heatrow/core/median.hpp"
#include "lens.hpp"
#include "shader.hpp"

#include <array>
#include <cmath>
#include <numeric>

namespace scene {
namespace {

constexpr std::size_t kKinds = 4;
constexpr int kAcross = 2;  // rays each way through a cell

using ByKind = std::array<double, kKinds>;

ByKind by_kind(const Shader::Foreign& light) {
    return {light.sun, light.cloud, light.wall, light.person};
}

// One cell of one view, and what it mirrors, K.
struct MirrorCell {
    int panel;
    int cell;
    ByKind kelvin{};
};

// Rays of one shot to the glass of its modules.
class Glass {
  public:
    Glass(const World& world, int shot)
        : world_(world),
          shot_(world.shots[static_cast<std::size_t>(shot)]),
          shader_(world, shot_),
          axes_(site_from_camera(shot_.pose)),
          from_(world.caster.viewpoint(shot_.pose.position_in_site)),
          all_faces_(static_cast<std::size_t>(world.caster.face_count())) {
        std::iota(all_faces_.begin(), all_faces_.end(), 0);
    }

    // Mean over the rays through the cell; false where the picture does not show all of them.
    bool look(MirrorCell& cell) const {
        const auto box = world_.plant.type_of(cell.panel).cell_box(cell.cell);
        for (int i = 0; i < kAcross * kAcross; ++i) {
            const double x = box.left + (i % kAcross + 0.5) / kAcross * (box.right - box.left);
            const double y = box.top + (i / kAcross + 0.5) / kAcross * (box.bottom - box.top);
            const Eigen::Vector3d ray = world_.plant.point_in_site(cell.panel, x, y) - shot_.pose.position_in_site;
            const Face& face = world_.plant.table_of(cell.panel).face;
            const Hit hit{.kind = Hit::Kind::glass,
                          .face = world_.plant.panels[static_cast<std::size_t>(cell.panel)].table,
                          .panel = cell.panel,
                          .distance = 1.0,
                          .x = x,
                          .y = y,
                          .facing = face.normal.dot(ray)};
            if (hit.facing >= 0.0 || !in_picture(ray)) {
                return false;
            }
            const Shader::Foreign light = shader_.foreign(hit, shot_.pose.position_in_site, ray);
            if (light.none()) {
                continue;
            }
            if (world_.caster.cast(from_, ray, all_faces_).panel != cell.panel) {
                return false;  // something stands before it
            }
            const auto kelvin = by_kind(shader_.foreign_k(light, hit, shot_.pose.position_in_site, ray));
            for (std::size_t kind = 0; kind < kKinds; ++kind) {
                cell.kelvin[kind] += kelvin[kind] / (kAcross * kAcross);
            }
        }
        return true;
    }

  private:
    [[nodiscard]] bool in_picture(const Eigen::Vector3d& ray) const {
        const CameraSpec& camera = world_.true_camera;
        const Eigen::Vector3d in_camera = axes_.transpose() * ray;
        const auto pixel = in_camera.z() > 0.0 ? pixel_of_point(camera, in_camera) : std::nullopt;
        return pixel && pixel->x() >= -0.5 && pixel->y() >= -0.5 && pixel->x() <= camera.width_px - 0.5 &&
               pixel->y() <= camera.height_px - 0.5;
    }

    const World& world_;
    const Shot& shot_;
    Shader shader_;
    Eigen::Matrix3d axes_;
    RayCaster::Viewpoint from_;
    std::vector<int> all_faces_;
};

}  // namespace

std::string to_string(MirrorKind kind) {
    switch (kind) {
        case MirrorKind::sun:
            return "sun";
        case MirrorKind::cloud:
            return "cloud";
        case MirrorKind::wall:
            return "wall";
        case MirrorKind::person:
            return "operator";
    }
    return "";
}

std::vector<MirrorTruth> true_mirrors(const World& world, int shot, const std::vector<ViewTruth>& views) {
    const Glass glass(world, shot);
    std::vector<MirrorCell> cells;
    for (const ViewTruth& view : views) {
        for (int cell = 0; cell < world.plant.type_of(view.panel).cell_count(); ++cell) {
            MirrorCell seen{.panel = view.panel, .cell = cell};
            if (glass.look(seen)) {
                cells.push_back(seen);
            }
        }
    }
    std::vector<MirrorTruth> mirrors;
    for (std::size_t kind = 0; kind < kKinds; ++kind) {
        std::vector<double> all;
        for (const MirrorCell& cell : cells) {
            all.push_back(cell.kelvin[kind]);
        }
        const double usual = all.empty() ? 0.0 : heatrow::take_median(all);
        for (const MirrorCell& cell : cells) {
            const double change = cell.kelvin[kind] - usual;
            if (std::abs(change) < kNoticedK) {
                continue;
            }
            if (mirrors.empty() || mirrors.back().panel != cell.panel ||
                mirrors.back().kind != static_cast<MirrorKind>(kind)) {
                mirrors.push_back({.panel = cell.panel, .kind = static_cast<MirrorKind>(kind)});
            }
            MirrorTruth& mirror = mirrors.back();
            mirror.cells.push_back(cell.cell);
            if (std::abs(change) > std::abs(mirror.peak_k)) {
                mirror.peak_k = change;
                mirror.peak_cell = cell.cell;
            }
        }
    }
    return mirrors;
}

}  // namespace scene
