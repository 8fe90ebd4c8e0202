#include "truth.hpp"

#include "lens.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <numeric>

namespace scene {
namespace {

constexpr int kGrid = 12;              // sample points each way for the visible share
constexpr double kCornerInset = 1e-3;  // of a side: a corner is looked at a little inside, on the module

// Share of the outline that the picture really shows.
double visible_share(const World& world,
                     const Shot& shot,
                     const RayCaster::Viewpoint& from,
                     const std::vector<int>& all_faces,
                     int panel) {
    const PanelType& type = world.plant.type_of(panel);
    const Eigen::Matrix3d axes = site_from_camera(shot.pose);
    const CameraSpec& camera = world.true_camera;
    int seen = 0;
    const auto look_at = [&](double x, double y) {
        const Eigen::Vector3d ray =
            world.plant.point_in_site(panel, x * type.width_m, y * type.height_m) - shot.pose.position_in_site;
        const auto pixel = pixel_of_point(camera, axes.transpose() * ray);
        if (!pixel || pixel->x() < -0.5 || pixel->y() < -0.5 || pixel->x() > camera.width_px - 0.5 ||
            pixel->y() > camera.height_px - 0.5) {
            return;
        }
        const Hit hit = world.caster.cast(from, ray, all_faces);
        seen += hit.panel == panel && hit.kind != Hit::Kind::back ? 1 : 0;
    };
    for (int iy = 0; iy < kGrid; ++iy) {
        for (int ix = 0; ix < kGrid; ++ix) {
            look_at((ix + 0.5) / kGrid, (iy + 0.5) / kGrid);
        }
    }
    for (const double x : {kCornerInset, 1.0 - kCornerInset}) {
        for (const double y : {kCornerInset, 1.0 - kCornerInset}) {
            look_at(x, y);
        }
    }
    return static_cast<double>(seen) / (kGrid * kGrid + 4);
}

}  // namespace

std::vector<ViewTruth> true_views(const World& world, int shot_index) {
    const Shot& shot = world.shots[static_cast<std::size_t>(shot_index)];
    const CameraSpec& camera = world.true_camera;
    const Eigen::Matrix3d axes = site_from_camera(shot.pose);
    const auto from = world.caster.viewpoint(shot.pose.position_in_site);
    std::vector<int> all_faces(static_cast<std::size_t>(world.caster.face_count()));
    std::iota(all_faces.begin(), all_faces.end(), 0);
    // Beyond this the lens model need not hold.
    const double widest = 1.2 * std::hypot(camera.width_px, camera.height_px) / camera.focal_px;
    std::vector<ViewTruth> views;
    for (int panel = 0; panel < static_cast<int>(world.plant.panels.size()); ++panel) {
        ViewTruth view;
        view.panel = panel;
        Eigen::Vector2d low(1e9, 1e9);
        Eigen::Vector2d high(-1e9, -1e9);
        bool projects = true;
        const auto corners = world.plant.corners_in_site(panel);
        for (std::size_t i = 0; i < 4 && projects; ++i) {
            const Eigen::Vector3d in_camera = axes.transpose() * (corners[i] - shot.pose.position_in_site);
            projects = in_camera.z() > 0.1 && in_camera.head<2>().norm() < widest * in_camera.z();
            if (projects) {
                view.corners_px[i] = *pixel_of_point(camera, in_camera);
                low = low.cwiseMin(view.corners_px[i]);
                high = high.cwiseMax(view.corners_px[i]);
            }
        }
        if (!projects || high.x() < -0.5 || high.y() < -0.5 || low.x() > camera.width_px - 0.5 ||
            low.y() > camera.height_px - 0.5) {
            continue;
        }
        view.visible_share = visible_share(world, shot, from, all_faces, panel);
        if (view.visible_share > 0.0) {
            views.push_back(view);
        }
    }
    return views;
}

MeanConditions mean_conditions(const World& world, const std::vector<int>& shots) {
    MeanConditions mean;
    for (const int shot : shots) {
        const WeatherNow now = world.weather.at(world.shots[static_cast<std::size_t>(shot)].time_s);
        const double share = 1.0 / static_cast<double>(shots.size());
        mean.irradiance_felt_w_m2 += share * now.irradiance_felt_w_m2;
        mean.rise_k += share * now.rise_k;
        mean.air_c += share * now.air_c;
        mean.load_felt += share * now.load_felt;
    }
    return mean;
}

}  // namespace scene
