#include "flight.hpp"

#include "random.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace scene {
namespace {

using heatrow::degrees;
using heatrow::FramePose;
using heatrow::Radians;

struct Extent {
    double low_along = 1e9, high_along = -1e9;
    double low_across = 1e9, high_across = -1e9;
    double mean_height = 0.0;
};

Extent extent_of(const Plant& plant, const Eigen::Vector2d& along, const Eigen::Vector2d& across) {
    Extent extent;
    for (const PanelTable& table : plant.tables) {
        for (const double u : {0.0, table.face.width_m}) {
            for (const double v : {0.0, table.face.height_m}) {
                const Eigen::Vector2d at = table.face.at(u, v).head<2>();
                extent.low_along = std::min(extent.low_along, at.dot(along));
                extent.high_along = std::max(extent.high_along, at.dot(along));
                extent.low_across = std::min(extent.low_across, at.dot(across));
                extent.high_across = std::max(extent.high_across, at.dot(across));
            }
        }
        extent.mean_height +=
            table.face.at(0.0, 0.5 * table.face.height_m).z() / static_cast<double>(plant.tables.size());
    }
    return extent;
}

// Slow swings of an airframe: a first-order process with the given standard deviation.
class Swing {
  public:
    explicit Swing(double deviation) : deviation_(deviation) {}
    double next(Random& random) {
        constexpr double kMemory = 0.7;
        value_ = kMemory * value_ + std::sqrt(1.0 - kMemory * kMemory) * deviation_ * random.normal();
        return value_;
    }

  private:
    double deviation_;
    double value_ = 0.0;
};

struct LoggedErrors {
    Eigen::Vector3d bias{0.0, 0.0, 0.0};
};

LoggedErrors draw_errors(const FlightSpec& spec, Random& random) {
    const double direction = random.uniform(0.0, 2.0 * std::numbers::pi);
    return {{spec.position_bias_m * std::sin(direction),
             spec.position_bias_m * std::cos(direction),
             spec.height_bias_m * random.normal()}};
}

FramePose log_pose(const FlightSpec& spec, const LoggedErrors& errors, const FramePose& pose, Random& random) {
    FramePose logged = pose;
    logged.position_in_site += errors.bias;
    for (int i = 0; i < 3; ++i) {
        logged.position_in_site[i] += spec.position_noise_m * random.normal();
    }
    logged.yaw += degrees(spec.yaw_noise_deg * random.normal());
    logged.pitch += degrees(spec.attitude_noise_deg * random.normal());
    logged.roll += degrees(spec.attitude_noise_deg * random.normal());
    return logged;
}

std::vector<Shot> fly(const SceneSpec& scene, const Plant& plant, std::uint64_t seed) {
    const FlightSpec& spec = *scene.flight;
    const Eigen::Vector3d right = plant.tables.front().face.right;
    const Eigen::Vector2d along = right.head<2>().normalized();
    const Eigen::Vector2d across(-along.y(), along.x());
    const Extent extent = extent_of(plant, along, across);
    const double height = extent.mean_height + spec.height_m;

    Random random(seed, Stream::flight);
    Random log_random(seed, Stream::logged_poses);
    const LoggedErrors errors = draw_errors(spec, log_random);
    Swing yaw_swing(spec.yaw_wobble_deg);
    Swing pitch_swing(spec.wobble_deg);
    Swing roll_swing(spec.wobble_deg);
    Swing track_swing(0.25);

    const double width = extent.high_across - extent.low_across;
    const int lanes = std::max(1, static_cast<int>(std::ceil(width / spec.lane_spacing_m)));
    const double length = extent.high_along - extent.low_along + 2.0 * spec.overshoot_m;
    const int frames = std::max(1, static_cast<int>(std::lround(length / spec.frame_spacing_m)) + 1);
    // Pitched cameras look ahead of the aircraft: it flies that much behind.
    const double lead = spec.height_m * std::tan(spec.pitch_deg * std::numbers::pi / 180.0);

    std::vector<Shot> shots;
    double time_s = 0.0;
    for (int lane = 0; lane < lanes; ++lane) {
        const bool forth = lane % 2 == 0;
        const Eigen::Vector2d heading = forth ? along : Eigen::Vector2d(-along);
        const double lane_across = extent.low_across + width * (lane + 0.5) / lanes;
        for (int i = 0; i < frames; ++i) {
            const double walked = length * i / std::max(1, frames - 1);
            const double at =
                forth ? extent.low_along - spec.overshoot_m + walked : extent.high_along + spec.overshoot_m - walked;
            const Eigen::Vector2d ground =
                at * along + (lane_across + track_swing.next(random)) * across - lead * heading;
            Shot shot;
            shot.name = fmt::format("thermal_{:04}.tif", shots.size() + 1);
            shot.time_s = std::round(time_s * 1000.0) / 1000.0;
            shot.pose.position_in_site = {ground.x(), ground.y(), height + 0.1 * random.normal()};
            shot.pose.yaw = heatrow::wrap_full_turn(Radians(std::atan2(heading.x(), heading.y())) +
                                                    degrees(yaw_swing.next(random)));
            shot.pose.pitch = degrees(spec.pitch_deg + pitch_swing.next(random));
            shot.pose.roll = degrees(roll_swing.next(random));
            shot.velocity_m_s = {heading.x() * spec.speed_m_s, heading.y() * spec.speed_m_s, 0.0};
            shot.logged = log_pose(spec, errors, shot.pose, log_random);
            shots.push_back(shot);
            time_s += spec.frame_spacing_m / spec.speed_m_s;
        }
        time_s += spec.turn_s;
    }
    return shots;
}

// Yaw and pitch that point the line of sight along a direction; the image top stays up.
FramePose aim(const Eigen::Vector3d& position, const Eigen::Vector3d& target) {
    const Eigen::Vector3d sight = (target - position).normalized();
    FramePose pose;
    pose.position_in_site = position;
    pose.yaw = Radians(std::atan2(sight.x(), sight.y()));
    pose.pitch = Radians(std::acos(std::clamp(-sight.z(), -1.0, 1.0)));
    return pose;
}

std::vector<Shot> walk(const SceneSpec& scene, std::uint64_t seed) {
    const HandheldSpec& spec = *scene.handheld;
    Random random(seed, Stream::flight);
    std::vector<Shot> shots;
    double time_s = 0.0;
    for (const StationSpec& station : spec.stations) {
        for (int i = 0; i < station.frames; ++i) {
            Eigen::Vector3d position = station.position_m;
            for (int k = 0; k < 3; ++k) {
                position[k] += spec.position_wobble_m * random.normal();
            }
            Shot shot;
            shot.name = fmt::format("thermal_{:04}.tif", shots.size() + 1);
            shot.time_s = time_s;
            shot.pose = aim(position, station.target_m);
            shot.pose.yaw = heatrow::wrap_full_turn(shot.pose.yaw + degrees(spec.aim_wobble_deg * random.normal()));
            shot.pose.pitch += degrees(spec.aim_wobble_deg * random.normal());
            shot.pose.roll = degrees(spec.roll_wobble_deg * random.normal());
            shot.logged = shot.pose;
            shots.push_back(shot);
            time_s += spec.interval_s;
        }
        time_s += 4.0 * spec.interval_s;
    }
    return shots;
}

}  // namespace

std::vector<Shot> plan_shots(const SceneSpec& scene, const Plant& plant, std::uint64_t seed) {
    return scene.flight ? fly(scene, plant, seed) : walk(scene, seed);
}

}  // namespace scene
