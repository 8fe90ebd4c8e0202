#include "flight.hpp"

#include "heatrow/core/error.hpp"
#include "random.hpp"

#include <Eigen/Geometry>
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

// The errors of one flight's log: a constant bias that may wander, a boresight, a clock.
class FlightLog {
  public:
    FlightLog(const FlightSpec& spec, Random& random) : spec_(spec), random_(random) {
        const double direction = random.uniform(0.0, 2.0 * std::numbers::pi);
        bias_ = {spec.position_bias_m * std::sin(direction),
                 spec.position_bias_m * std::cos(direction),
                 spec.height_bias_m * random.normal()};
        yaw_bias_deg_ = spec.yaw_bias_deg == 0.0 ? 0.0 : spec.yaw_bias_deg * random.normal();
    }

    // heading: of the lane.
    void write(Shot& shot, Radians heading) {
        wander(shot.time_s);
        FramePose& logged = shot.logged;
        logged = shot.pose;
        logged.position_in_site += bias_ + Eigen::Vector3d(walk_.x(), walk_.y(), spec_.height_offset_m) -
                                   spec_.position_lag_s * shot.velocity_m_s;
        for (int i = 0; i < 3; ++i) {
            logged.position_in_site[i] += spec_.position_noise_m * random_.normal();
        }
        logged.yaw += degrees(yaw_bias_deg_ - spec_.boresight_deg[0] + spec_.yaw_noise_deg * random_.normal());
        logged.pitch += degrees(-spec_.boresight_deg[1] + spec_.attitude_noise_deg * random_.normal());
        logged.roll += degrees(-spec_.boresight_deg[2] + spec_.attitude_noise_deg * random_.normal());
        misunderstand(logged, heading);
        shot.stamped_s = shot.time_s + spec_.clock_ahead_s;
        if (spec_.missing_fix_share > 0.0 || spec_.zero_fix_share > 0.0) {
            const double draw = random_.uniform();
            shot.fix = draw < spec_.missing_fix_share                          ? Fix::missing
                       : draw < spec_.missing_fix_share + spec_.zero_fix_share ? Fix::zero
                                                                               : Fix::good;
        }
    }

  private:
    void wander(double time_s) {
        if (spec_.position_walk_m <= 0.0) {
            return;
        }
        const double passed = last_s_ < 0.0 ? 0.0 : time_s - last_s_;
        last_s_ = time_s;
        constexpr double kTenMinutes = 600.0;
        const double step = spec_.position_walk_m * std::sqrt(passed / kTenMinutes / 2.0);  // of each axis
        const Eigen::Vector2d next = walk_ + Eigen::Vector2d(step * random_.normal(), step * random_.normal());
        const Eigen::Vector2d constant = bias_.head<2>();
        // A step over the limit is taken the other way.
        walk_ = (constant + next).norm() <= spec_.position_walk_limit_m ? next : Eigen::Vector2d(2.0 * walk_ - next);
    }

    void misunderstand(FramePose& logged, Radians heading) const {
        switch (spec_.convention) {
            case PoseConvention::right:
                return;
            case PoseConvention::nadir_minus_90:
                logged.pitch += degrees(-90.0);
                return;
            case PoseConvention::roll_180:
                logged.roll += degrees(180.0);
                return;
            case PoseConvention::yaw_of_body:
                logged.yaw = heading + degrees(spec_.crab_deg);
                return;
            case PoseConvention::no_attitude:
                logged.yaw = logged.pitch = logged.roll = Radians(heatrow::kNaN);
        }
    }

    const FlightSpec& spec_;
    Random& random_;
    Eigen::Vector3d bias_{0.0, 0.0, 0.0};
    Eigen::Vector2d walk_{0.0, 0.0};
    double yaw_bias_deg_ = 0.0;
    double last_s_ = -1.0;
};

// Height of the modules within reach of a place; the mean of all where none is.
double height_nearby(const Plant& plant, const Eigen::Vector2d& at, double reach_m, double mean_m) {
    double sum = 0.0;
    double weights = 0.0;
    for (const PanelTable& table : plant.tables) {
        const Eigen::Vector3d middle = table.face.at(0.5 * table.face.width_m, 0.5 * table.face.height_m);
        const double distance = (middle.head<2>() - at).norm();
        const double weight = std::exp(-0.5 * distance * distance / (reach_m * reach_m));
        sum += weight * middle.z();
        weights += weight;
    }
    return weights < 1e-6 ? mean_m : sum / weights;
}

// One flight: lanes to and fro; turns give no frames. Appends its shots.
void fly(const FlightSpec& spec,
         const Plant& plant,
         int flight,
         double begin_s,
         std::uint64_t seed,
         Random& random,
         Random& log_random,
         std::vector<Shot>& shots) {
    const Eigen::Vector2d row = plant.tables.front().face.right.head<2>().normalized();
    const double turn = -spec.heading_offset_deg * std::numbers::pi / 180.0;  // azimuths turn clockwise
    const Eigen::Vector2d along = Eigen::Rotation2Dd(turn) * row;
    const Eigen::Vector2d across(-along.y(), along.x());
    const Extent extent = extent_of(plant, along, across);

    FlightLog log(spec, log_random);
    Random jerks(seed, Stream::jerks, static_cast<std::uint64_t>(flight));
    Swing yaw_swing(spec.yaw_wobble_deg);
    Swing pitch_swing(spec.wobble_deg);
    Swing roll_swing(spec.wobble_deg);
    Swing track_swing(0.25);

    const double site_width = extent.high_across - extent.low_across;
    const double low_across = extent.low_across + spec.across.x() * site_width;
    const double width = (spec.across.y() - spec.across.x()) * site_width;
    const int lanes = std::max(1, static_cast<int>(std::ceil(width / spec.lane_spacing_m)));
    const double length = extent.high_along - extent.low_along + 2.0 * spec.overshoot_m;
    const int frames = std::max(1, static_cast<int>(std::lround(length / spec.frame_spacing_m)) + 1);
    // Pitched cameras look ahead of the aircraft: it flies that much behind.
    const double lead = spec.height_m * std::tan(spec.pitch_deg * std::numbers::pi / 180.0);

    double time_s = begin_s;
    int number = 0;
    for (int lane = 0; lane < lanes; ++lane) {
        const bool forth = lane % 2 == 0;
        const Eigen::Vector2d heading = forth ? along : Eigen::Vector2d(-along);
        const Radians azimuth(std::atan2(heading.x(), heading.y()));
        const double lane_across = low_across + width * (lane + 0.5) / lanes;
        for (int i = 0; i < frames; ++i) {
            const double walked = length * i / std::max(1, frames - 1);
            const double at =
                forth ? extent.low_along - spec.overshoot_m + walked : extent.high_along + spec.overshoot_m - walked;
            const Eigen::Vector2d seen = at * along + (lane_across + track_swing.next(random)) * across;
            const Eigen::Vector2d ground = seen - lead * heading;
            const double base = spec.follow_terrain
                                    ? height_nearby(plant, seen, spec.lane_spacing_m, extent.mean_height)
                                    : extent.mean_height;
            Shot shot;
            shot.flight = flight;
            shot.time_s = std::round(time_s * 1000.0) / 1000.0;
            shot.pose.position_in_site = {ground.x(), ground.y(), base + spec.height_m + 0.1 * random.normal()};
            shot.pose.yaw = heatrow::wrap_full_turn(azimuth + degrees(yaw_swing.next(random)));
            shot.pose.pitch = degrees(spec.pitch_deg + pitch_swing.next(random));
            shot.pose.roll = degrees(roll_swing.next(random));
            shot.velocity_m_s = {heading.x() * spec.speed_m_s, heading.y() * spec.speed_m_s, 0.0};
            log.write(shot, azimuth);
            if (jerks.uniform() < spec.jerk_share) {
                shot.velocity_m_s *= spec.jerk_factor;
            }
            ++number;
            const bool lost =
                !spec.lost_frames.empty() && number >= spec.lost_frames[0] && number <= spec.lost_frames[1];
            if (!lost) {
                shot.name = fmt::format("thermal_{:04}.tif", shots.size() + 1);
                shots.push_back(shot);
            }
            time_s += spec.frame_spacing_m / spec.speed_m_s;
        }
        time_s += spec.turn_s;
    }
}

std::vector<Shot> fly_all(const SceneSpec& scene, const Plant& plant, std::uint64_t seed) {
    Random random(seed, Stream::flight);
    Random log_random(seed, Stream::logged_poses);
    std::vector<Shot> shots;
    double begin_s = 0.0;
    for (std::size_t flight = 0; flight < scene.flights.size(); ++flight) {
        const FlightSpec& spec = scene.flights[flight];
        if (flight > 0) {
            begin_s = shots.empty() ? 0.0 : shots.back().time_s + spec.pause_s;
        }
        fly(spec, plant, static_cast<int>(flight), begin_s, seed, random, log_random, shots);
    }
    if (shots.empty()) {
        throw heatrow::Error(heatrow::ErrorKind::usage,
                             "Could not plan the flights",
                             "flight.lost_frames",
                             "no frame is left",
                             "Lose fewer frames.");
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
            const double share = station.frames < 2 ? 0.0 : static_cast<double>(i) / (station.frames - 1);
            Eigen::Vector3d position = station.position_m + share * (station.to_position_m - station.position_m);
            const Eigen::Vector3d target = station.target_m + share * (station.to_target_m - station.target_m);
            for (int k = 0; k < 3; ++k) {
                position[k] += spec.position_wobble_m * random.normal();
            }
            Shot shot;
            shot.name = fmt::format("thermal_{:04}.tif", shots.size() + 1);
            shot.time_s = time_s;
            shot.pose = aim(position, target);
            shot.pose.yaw = heatrow::wrap_full_turn(shot.pose.yaw + degrees(spec.aim_wobble_deg * random.normal()));
            shot.pose.pitch += degrees(spec.aim_wobble_deg * random.normal());
            shot.pose.roll = degrees(spec.roll_wobble_deg * random.normal());
            shot.logged = shot.pose;
            shot.stamped_s = time_s;
            shots.push_back(shot);
            time_s += spec.interval_s;
        }
        time_s += 4.0 * spec.interval_s;
    }
    return shots;
}

}  // namespace

std::vector<Shot> plan_shots(const SceneSpec& scene, const Plant& plant, std::uint64_t seed) {
    return scene.handheld ? walk(scene, seed) : fly_all(scene, plant, seed);
}

}  // namespace scene
