#include "predicted_lines.hpp"

#include "heatrow/camera/ground_box.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace heatrow::detail {

namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double kStripPx = 20.0;  // aimed at length of a strip
constexpr double kCornerPx = 3.0;  // kept clear of corners, where sides cross

}  // namespace

void add_lines(const PosedCamera& camera,
               const BandEdge& edge,
               double border_px,
               const Vector3d& camera_motion,
               std::vector<PredictedLine>& lines) {
    const std::optional<Vector2d> from = camera.project(edge.from_in_site);
    const std::optional<Vector2d> to = camera.project(edge.to_in_site);
    if (!from || !to) {
        return;
    }
    const double length = (*to - *from).norm();
    const double usable = length - 2.0 * kCornerPx;
    if (usable < 2.0) {
        return;
    }
    const int strips = std::clamp(static_cast<int>(std::lround(usable / kStripPx)), 1, 4);
    for (int i = 0; i < strips; ++i) {
        const double place = (kCornerPx + usable * (i + 0.5) / strips) / length;
        PredictedLine predicted;
        predicted.middle_in_site = edge.from_in_site + place * (edge.to_in_site - edge.from_in_site);
        const std::optional<Vector2d> middle = camera.project(predicted.middle_in_site);
        if (!middle || !inside_picture(camera.lens(), *middle, border_px)) {
            continue;
        }
        // Beyond the band's outer border; a little way out where the band has no width.
        const double half_band = 0.5 * std::max(edge.band_width_m, 0.02);
        const std::optional<Vector2d> beyond =
            camera.project(predicted.middle_in_site + half_band * edge.outward_in_site);
        if (!beyond) {
            continue;
        }
        const Vector2d along = (*to - *from) / length;
        Vector2d normal(along.y(), -along.x());
        double reached = normal.dot(*beyond - *middle);
        if (reached < 0.0) {
            normal = -normal;
            reached = -reached;
        }
        predicted.line = {*middle,
                          normal,
                          0.5 * usable / strips,
                          edge.band_width_m > 0.0 ? 2.0 * reached : 0.0,
                          0.0,
                          edge.neighbour >= 0};
        if (const std::optional<Vector2d> later = camera.project(predicted.middle_in_site - camera_motion)) {
            predicted.line.trail_px = normal.dot(*later - *middle);
        }
        predicted.free_side = edge.neighbour < 0;
        lines.push_back(predicted);
    }
}

std::vector<int> modules_in_view(const LayoutIndex& site, const PosedCamera& camera, Metres margin) {
    const GroundBox box = ground_box(
        camera, Metres(site.lowest_m()), Metres(site.highest_m()), Metres(site.largest_radius_m() + margin.value()));
    std::vector<int> modules = site.modules_in_box(box.low, box.high);
    std::erase_if(modules, [&](int module) {
        const Vector3d& centre = site.centre_in_site(module);
        return site.normal_in_site(module).dot(camera.position_in_site() - centre) <= 0.0 ||
               camera.to_camera(centre).z() <= 0.0;
    });
    return modules;
}

std::vector<PredictedLine> predict_lines(const LayoutIndex& site,
                                         const PosedCamera& camera,
                                         const std::vector<int>& modules,
                                         double border_px,
                                         int most,
                                         const Vector3d& camera_motion) {
    std::vector<PredictedLine> lines;
    for (const int module : modules) {
        for (const BandEdge& edge : site.edges_of(module)) {
            add_lines(camera, edge, border_px, camera_motion, lines);
        }
    }
    if (static_cast<int>(lines.size()) <= most) {
        return lines;
    }
    std::vector<PredictedLine> thinned;
    thinned.reserve(static_cast<std::size_t>(most));
    for (int i = 0; i < most; ++i) {
        thinned.push_back(lines[static_cast<std::size_t>(i) * lines.size() / static_cast<std::size_t>(most)]);
    }
    return thinned;
}

double pixel_size_m(const LayoutIndex& site, const PosedCamera& camera, const std::vector<int>& modules) {
    std::vector<double> sizes;
    sizes.reserve(modules.size());
    for (const int module : modules) {
        sizes.push_back(camera.ground_sample_distance(site.centre_in_site(module)).value());
    }
    if (sizes.empty()) {
        return kNaN;
    }
    const auto middle = sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() / 2);
    std::nth_element(sizes.begin(), middle, sizes.end());
    return *middle;
}

}  // namespace heatrow::detail
