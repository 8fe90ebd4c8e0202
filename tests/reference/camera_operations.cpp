#include "heatrow/camera/lens.hpp"
#include "heatrow/camera/posed_camera.hpp"
#include "operations.hpp"

#include <Eigen/Geometry>

#include <cmath>
#include <stdexcept>

namespace heatrow::reference {
namespace {

using Words = std::vector<std::string>;
using Numbers = std::vector<double>;

// 640 x 512 detector, no distortion; pitch_um=, focal_mm=.
Lens plain_lens(const Parameters& parameters) {
    Lens lens;
    lens.width_px = 640;
    lens.height_px = 512;
    lens.focal_px = 1000.0 * parameters.number("focal_mm") / parameters.number("pitch_um");
    lens.principal_point_px = {319.5, 255.5};
    return lens;
}

FramePose looking_down_from(double height_m, double pitch_deg) {
    FramePose pose;
    pose.position_in_site = {0.0, 0.0, height_m};
    pose.pitch = degrees(pitch_deg);
    return pose;
}

// accept: x y of the pinhole; k1= k2= p1= p2= k3=. The distorted x y.
Numbers brown_conrady(const Parameters& parameters, const Words& accept) {
    Lens lens;
    lens.width_px = 2;
    lens.height_px = 2;
    lens.focal_px = 1.0;
    lens.k1 = parameters.number("k1");
    lens.k2 = parameters.number("k2");
    lens.p1 = parameters.number("p1");
    lens.p2 = parameters.number("p2");
    lens.k3 = parameters.number("k3");
    const auto seen = project(lens, {to_number(accept.at(0)), to_number(accept.at(1)), 1.0});
    if (!seen) {
        throw std::runtime_error("the point is not seen");
    }
    return {seen->x(), seen->y()};
}

// accept: height_m. Ground sample straight down, cm.
Numbers ground_sample_cm(const Parameters& parameters, const Words& accept) {
    const PosedCamera camera(plain_lens(parameters), looking_down_from(to_number(accept.at(0)), 0.0));
    return {100.0 * camera.ground_sample_distance({0.0, 0.0, 0.0}).value()};
}

// accept: any. Field of view, deg, horizontal and vertical, from where the picture's outer corners meet the ground.
Numbers field_of_view(const Parameters& parameters, const Words&) {
    constexpr double kHeightM = 10.0;
    const auto corners =
        PosedCamera(plain_lens(parameters), looking_down_from(kHeightM, 0.0)).footprint(Metres(0.0)).value();
    const auto angle_over = [](const Eigen::Vector3d& a, const Eigen::Vector3d& b) {
        return in_degrees(Radians(2.0 * std::atan((a - b).norm() / (2.0 * kHeightM))));
    };
    return {angle_over(corners[0], corners[1]), angle_over(corners[1], corners[2])};
}

// accept: angle_deg from straight down. Size of the middle pixel on flat ground over that straight down: across, along.
Numbers oblique_ground_sample(const Parameters& parameters, const Words& accept) {
    const auto size_at = [&](double angle_deg) {
        const PosedCamera camera(plain_lens(parameters), looking_down_from(10.0, angle_deg));
        const auto ground = [&camera](double x, double y) {
            const Eigen::Vector3d ray = camera.ray_in_site({x, y});
            return Eigen::Vector3d(ray * (10.0 / -ray.z()));
        };
        constexpr double kStepPx = 1e-3;  // so small that the change of scale over it vanishes
        return std::pair((ground(319.5 + kStepPx, 255.5) - ground(319.5 - kStepPx, 255.5)).norm(),
                         (ground(319.5, 255.5 + kStepPx) - ground(319.5, 255.5 - kStepPx)).norm());
    };
    const auto straight = size_at(0.0);
    const auto oblique = size_at(to_number(accept.at(0)));
    return {oblique.first / straight.first, oblique.second / straight.second};
}

// accept: speed_m_s time_constant_ms; gsd_cm=. Trail in px.
Numbers smear(const Parameters& parameters, const Words& accept) {
    return {smear_px(MetresPerSecond(to_number(accept.at(0))),
                     Seconds(to_number(accept.at(1)) / 1000.0),
                     Metres(parameters.number("gsd_cm") / 100.0))};
}

}  // namespace

void add_camera_operations(Operations& operations) {
    operations["brown_conrady"] = brown_conrady;
    operations["ground_sample_cm"] = ground_sample_cm;
    operations["field_of_view"] = field_of_view;
    operations["oblique_ground_sample"] = oblique_ground_sample;
    operations["smear"] = smear;
}

}  // namespace heatrow::reference
