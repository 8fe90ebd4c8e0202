#include "heatrow/io/written_pose.hpp"

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/core/error.hpp"

#include <Eigen/Geometry>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

using Eigen::Matrix3d;
using Eigen::Vector3d;

// Heights of the earth's surface and of what flies over a plant, m above the ellipsoid or a site; beyond them a device
// wrote something else (own choice).
constexpr double kLowestAltitude_m = -1000.0;
constexpr double kHighestAltitude_m = 10000.0;

void require_within(double value, double limit, std::string_view unit, std::string_view where, std::string_view field) {
    if (!(std::abs(value) <= limit)) {
        throw Error(ErrorKind::input,
                    "cannot read the poses",
                    fmt::format("{}, field {}", where, field),
                    fmt::format("{:.10g} is out of range", value),
                    fmt::format("It is in {}, from {:g} to {:g}", unit, -limit, limit));
    }
}

Matrix3d about(const Vector3d& axis, double angle_deg) {
    return Eigen::AngleAxisd(degrees(angle_deg).value(), axis).toRotationMatrix();
}

}  // namespace

std::array<std::string_view, 6> PoseRules::names() const {
    std::array<std::string_view, 6> names = WrittenPose::kAttitudeNames;
    if (crs) {
        std::copy_n(WrittenPose::kRotationNames.begin(), 2, names.begin());
    }
    if (angles == Angles::omega_phi_kappa) {
        std::copy_n(WrittenPose::kRotationNames.begin() + 3, 3, names.begin() + 3);
    }
    return names;
}

PoseMaker::PoseMaker(const PoseRules& rules, const SiteProjection& projection)
    : rules_(rules), crs_(std::make_unique<SiteCrs>(rules.crs, projection, "cannot read the poses", "poses.crs")) {}

PoseMaker::~PoseMaker() = default;

Vector3d PoseMaker::place(double x, double y, double height_m, std::string_view where) const {
    const Metres origin = crs_->projection().origin().height;
    return crs_->to_site(
        x, y, Metres(height_m) + (rules_.altitude == PoseRules::Altitude::site ? origin : Metres(0.0)), where);
}

// The rotation is given against the axes of the CRS, whose north is not true north.
FramePose PoseMaker::from_rotation(const WrittenPose& written, std::string_view where) const {
    const auto& [x, y, height_m, omega, phi, kappa] = written.values;
    const Vector3d here = place(x, y, height_m, where);
    constexpr double kAStep = 10.0;  // m, or the same in degrees of latitude
    const Vector3d north = place(x, y + (crs_->is_degrees() ? kAStep / 111000.0 : kAStep), height_m, where) - here;
    const double grid_azimuth_deg = in_degrees(Radians(std::atan2(north.x(), north.y())));
    Matrix3d image_from_camera;  // image y points up and z back, the camera's y down and z ahead
    image_from_camera << 1, 0, 0, 0, -1, 0, 0, 0, -1;
    const Matrix3d grid_from_image =
        about(Vector3d::UnitX(), omega) * about(Vector3d::UnitY(), phi) * about(Vector3d::UnitZ(), kappa);
    return pose_from(about(Vector3d::UnitZ(), -grid_azimuth_deg) * grid_from_image * image_from_camera, here);
}

tl::expected<FramePose, std::string> PoseMaker::make(const WrittenPose& written, std::string_view where) const {
    const auto names = rules_.names();
    const auto& v = written.values;
    if (v[0] == 0.0 && v[1] == 0.0) {
        return tl::unexpected(std::string("its position is 0, 0, which devices write when they have no fix"));
    }
    if (crs_->is_degrees()) {
        for (std::size_t i = 0; i < 2; ++i) {
            if (!std::isnan(v[i])) {
                require_within(v[i], i == 0 ? 180.0 : 90.0, "degrees", where, names[i]);
            }
        }
    }
    for (std::size_t i = 0; i < v.size(); ++i) {
        if (std::isnan(v[i])) {
            return tl::unexpected(fmt::format("its {} is empty", names[i]));
        }
    }
    if (v[2] < kLowestAltitude_m || v[2] > kHighestAltitude_m) {
        return tl::unexpected(fmt::format("its altitude of {:g} m is none that anything flies at", v[2]));
    }
    if (rules_.angles == PoseRules::Angles::omega_phi_kappa) {
        for (std::size_t i = 3; i < v.size(); ++i) {
            require_within(v[i], 360.0, "degrees", where, names[i]);
        }
        return from_rotation(written, where);
    }
    auto pose = make_attitude(written, where);
    if (pose) {
        pose->position_in_site = place(v[0], v[1], v[2], where);
    }
    return pose;
}

tl::expected<FramePose, std::string> PoseMaker::make_attitude(const WrittenPose& written,
                                                              std::string_view where) const {
    const auto names = rules_.names();
    const auto& v = written.values;
    if (rules_.angles == PoseRules::Angles::omega_phi_kappa) {
        return tl::unexpected(std::string("its rotation is against a grid, whose north depends on the place"));
    }
    for (std::size_t i = 3; i < v.size(); ++i) {
        if (std::isnan(v[i])) {
            return tl::unexpected(fmt::format("its {} is empty", names[i]));
        }
        require_within(v[i], 360.0, "degrees", where, names[i]);
    }
    const FramePose pose{Vector3d::Zero(),
                         degrees(v[3] + rules_.add_deg[0]),
                         degrees(v[4] + rules_.add_deg[1]),
                         degrees(v[5] + rules_.add_deg[2])};
    if (-site_from_camera(pose)(2, 2) < 0.0) {
        return tl::unexpected(fmt::format(
            "it looks above the horizon with pitch {:g} and roll {:g} degrees (if that means straight down, "
            "say what to add to the angles in poses.add_deg)",
            v[4],
            v[5]));
    }
    return pose;
}

}  // namespace heatrow
