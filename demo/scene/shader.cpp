#include "shader.hpp"

#include "lens.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace scene {
namespace {

constexpr double kDegree = std::numbers::pi / 180.0;
constexpr double kWidthPerDeviation = 2.354820045;  // full width at half height of a Gaussian
constexpr double kSunDeviation = 0.133 * kDegree;   // of an even disc half a degree wide, along one axis

// How much of the sun's beam comes through: the rest of a clouded sky's light is diffuse.
double beam_share(const SceneSpec& scene, const WeatherNow& now) {
    constexpr double kDiffuse = 0.3;
    const double share = now.irradiance_w_m2 / scene.conditions.irradiance_w_m2;
    return std::clamp((share - kDiffuse) / (1.0 - kDiffuse), 0.0, 1.0);
}

// Directions of a Gaussian lobe, equally likely: a sunflower pattern in deviations.
constexpr int kLobeRays = 12;
const std::array<Eigen::Vector2d, kLobeRays>& lobe_pattern() {
    static const std::array<Eigen::Vector2d, kLobeRays> pattern = [] {
        std::array<Eigen::Vector2d, kLobeRays> points;
        for (int i = 0; i < kLobeRays; ++i) {
            const double radius = std::sqrt(-2.0 * std::log(1.0 - (i + 0.5) / kLobeRays));
            const double angle = i * std::numbers::pi * (3.0 - std::sqrt(5.0));
            points[static_cast<std::size_t>(i)] = {radius * std::cos(angle), radius * std::sin(angle)};
        }
        return points;
    }();
    return pattern;
}

}  // namespace

Shader::Shader(const World& world, const Shot& shot) : Shader(world, shot, world.weather.at(shot.time_s)) {}

Shader::Shader(const World& world, const Shot& shot, const WeatherNow& now)
    : world_(world),
      now_(now),
      air_c_(now.air_c),
      rise_k_(now.rise_k),
      sun_share_(now.irradiance_felt_w_m2 / 1000.0),
      sky_(world.spec.sky,
           world.clouds,
           world.band,
           world.hidden.sky_offset_k,
           now.air_c,
           shot.time_s,
           beam_share(world.spec, now)),
      air_radiance_(world.band.of_celsius(now.air_c)),
      air_path_(world.spec.air.relative_humidity, now.air_c) {
    warmth_.reserve(world.heat.size());
    for (std::size_t panel = 0; panel < world.heat.size(); ++panel) {
        const HeatState state = world.heat_state(now, static_cast<int>(panel));
        auto& layers = warmth_.emplace_back();
        for (const HeatLayer& layer : world.heat[panel].layers) {
            if (const double factor = layer.law.factor(state); factor != 0.0) {
                layers.emplace_back(factor, &layer.map);
            }
        }
    }
    if (world.spec.handheld && world.spec.person.present) {
        person_.emplace(world.spec.person, shot.pose.position_in_site, site_from_camera(shot.pose).col(2));
    }
}

Shader::Seen Shader::look(const Hit& hit, const Eigen::Vector3d& from, const Eigen::Vector3d& direction) const {
    const double length = direction.norm();
    const Eigen::Vector3d unit = direction / length;
    Seen seen;
    double distance_m = hit.distance * length;
    if (hit.kind == Hit::Kind::nothing) {
        if (unit.z() >= -1e-9) {
            seen.radiance = sky_.at(unit);  // the path through the air is in it
            seen.surface = 1;
            return seen;
        }
        distance_m = from.z() / -unit.z();
        seen.radiance = ground(from, unit);
    } else if (hit.kind == Hit::Kind::slab) {
        seen.radiance = slab(hit);
        seen.surface = 2U + 8U * static_cast<std::uint32_t>(hit.face);
    } else {
        seen.radiance = module(hit, from + hit.distance * direction, unit);
        seen.surface = 3U + static_cast<std::uint32_t>(hit.kind) + 8U * static_cast<std::uint32_t>(hit.panel);
    }
    const double through = air_path_.transmittance(distance_m);
    seen.radiance = through * seen.radiance + (1.0 - through) * air_radiance_;
    return seen;
}

double Shader::own_c(const Hit& hit) const {
    double sum = 0.0;
    for (const auto& [factor, map] : warmth_[static_cast<std::size_t>(hit.panel)]) {
        sum += factor * map->at(hit.x, hit.y);
    }
    return air_c_ + rise_k_ + sum;
}

double Shader::matt(double emissivity, double temperature_c) const {
    return emissivity * world_.band.of_celsius(temperature_c) + (1.0 - emissivity) * sky_.hemispherical();
}

double Shader::slab(const Hit& hit) const {
    const Slab& slab = world_.slabs[static_cast<std::size_t>(hit.face - world_.caster.table_count())];
    // Corrugated sheet: ribs of 20 cm.
    const double ribs = slab.texture_k * std::sin(2.0 * std::numbers::pi * hit.x / 0.2);
    return matt(slab.emissivity, air_c_ + sun_share_ * slab.above_air_k + ribs);
}

double Shader::ground(const Eigen::Vector3d& from, const Eigen::Vector3d& direction) const {
    const Eigen::Vector3d at = world_.ground.meet(from, direction);
    return matt(world_.spec.ground.emissivity, air_c_ + sun_share_ * world_.ground.at(at.x(), at.y()));
}

Shader::Front Shader::front(const Hit& hit, const Eigen::Vector3d& at, const Eigen::Vector3d& direction) const {
    const SkySpec& spec = world_.spec.sky;
    const Eigen::Vector3d& normal = world_.normals[static_cast<std::size_t>(hit.panel)];
    const double facing = direction.dot(normal);
    const bool glass = hit.kind == Hit::Kind::glass;
    const double width_deg = glass ? world_.plant.table_of(hit.panel).glint_lobe_deg : spec.frame_lobe_deg;
    return {glass ? world_.glass.at(-facing) : spec.frame_emissivity,
            world_.band.of_celsius(glass ? own_c(hit) : air_c_ + 0.6 * rise_k_),
            {hit.face, at, direction - 2.0 * facing * normal, width_deg * kDegree / kWidthPerDeviation}};
}

double Shader::module(const Hit& hit, const Eigen::Vector3d& at, const Eigen::Vector3d& direction) const {
    if (hit.kind == Hit::Kind::back) {
        return world_.band.of_celsius(own_c(hit));  // a polymer back: taken as black
    }
    const Front seen = front(hit, at, direction);
    return seen.emissivity * seen.own + (1.0 - seen.emissivity) * (mirrored(seen.mirror) + mirrored_sun(seen.mirror));
}

bool Shader::near_things(const Mirror& mirror) const {
    return world_.caster.may_meet(mirror.face, mirror.at, mirror.direction, 2.5 * mirror.lobe_rad) ||
           (person_ && person_->near(mirror.at, mirror.direction, mirror.lobe_rad));
}

template <class Use>
void Shader::over_lobe(const Mirror& mirror, Use use) const {
    // Textured glass shows near things soft: the mean over the lobe.
    const Eigen::Vector3d aside = mirror.direction.unitOrthogonal();
    const Eigen::Vector3d upward = mirror.direction.cross(aside);
    for (const Eigen::Vector2d& step : lobe_pattern()) {
        use((mirror.direction + mirror.lobe_rad * (step.x() * aside + step.y() * upward)).normalized());
    }
}

double Shader::mirrored(const Mirror& mirror) const {
    if (!near_things(mirror)) {
        return mirror.direction.z() > 0.0 ? sky_.at(mirror.direction) : ground(mirror.at, mirror.direction);
    }
    double sum = 0.0;
    over_lobe(mirror, [&](const Eigen::Vector3d& direction) { sum += surroundings(mirror, direction); });
    return sum / kLobeRays;
}

double Shader::part_of_person(Person::Part part) const {
    const OperatorSpec& spec = world_.spec.person;
    return world_.band.of_celsius(part == Person::Part::skin ? spec.skin_c : air_c_ + spec.clothes_above_air_k);
}

Shader::Foreign Shader::foreign(const Hit& hit, const Eigen::Vector3d& from, const Eigen::Vector3d& direction) const {
    const Front seen = front(hit, from + hit.distance * direction, direction.normalized());
    const Mirror& mirror = seen.mirror;
    const double mirrors = 1.0 - seen.emissivity;
    Foreign light;
    light.sun = mirrors * mirrored_sun(mirror);
    if (!near_things(mirror)) {
        if (mirror.direction.z() > 0.0) {
            light.cloud = mirrors * (sky_.at(mirror.direction) - sky_.clear_at(mirror.direction));
        }
        return light;
    }
    const double share = mirrors / kLobeRays;
    over_lobe(mirror, [&](const Eigen::Vector3d& ray) {
        const double without = ray.z() > 0.0 ? sky_.clear_at(ray) : ground(mirror.at, ray);
        const Person::Part part = person_ ? person_->meet(mirror.at, ray) : Person::Part::none;
        if (part != Person::Part::none) {
            light.person += share * (part_of_person(part) - without);
            return;
        }
        const Hit met = world_.caster.cast_from(mirror.face, mirror.at, ray);
        if (met.kind == Hit::Kind::slab) {
            light.wall += share * (slab(met) - without);
        } else if (met.kind == Hit::Kind::nothing && ray.z() > 0.0) {
            light.cloud += share * (sky_.at(ray) - without);
        }
    });
    return light;
}

Shader::Foreign Shader::foreign_k(const Foreign& radiance,
                                  const Hit& hit,
                                  const Eigen::Vector3d& from,
                                  const Eigen::Vector3d& direction) const {
    const double through = air_path_.transmittance(hit.distance * direction.norm());
    const double all = look(hit, from, direction).radiance;
    const double apparent_c = world_.band.apparent_celsius(all);
    const auto kelvin = [&](double light) {
        return light == 0.0 ? 0.0 : apparent_c - world_.band.apparent_celsius(all - through * light);
    };
    return {kelvin(radiance.sun), kelvin(radiance.cloud), kelvin(radiance.wall), kelvin(radiance.person)};
}

double Shader::surroundings(const Mirror& mirror, const Eigen::Vector3d& direction) const {
    if (person_) {
        const Person::Part part = person_->meet(mirror.at, direction);
        if (part != Person::Part::none) {
            return part_of_person(part);
        }
    }
    const Hit hit = world_.caster.cast_from(mirror.face, mirror.at, direction);
    switch (hit.kind) {
        case Hit::Kind::glass:
        case Hit::Kind::rim: {
            // The second mirror shows the sky where it stands level: no third bounce is followed.
            const double facing = std::abs(hit.facing);
            const bool glass = hit.kind == Hit::Kind::glass;
            const double emissivity = glass ? world_.glass.at(facing) : world_.spec.sky.frame_emissivity;
            const double own = world_.band.of_celsius(glass ? own_c(hit) : air_c_ + 0.6 * rise_k_);
            return emissivity * own + (1.0 - emissivity) * sky_.hemispherical();
        }
        case Hit::Kind::back:
            return world_.band.of_celsius(own_c(hit));
        case Hit::Kind::slab:
            return slab(hit);
        case Hit::Kind::nothing:
            break;
    }
    return direction.z() > 0.0 ? sky_.at(direction) : ground(mirror.at, direction);
}

double Shader::mirrored_sun(const Mirror& mirror) const {
    const double variance = mirror.lobe_rad * mirror.lobe_rad + kSunDeviation * kSunDeviation;
    const double square = (mirror.direction - sky_.to_sun()).squaredNorm();  // of the angle, where it is small
    const double exponent = 0.5 * square / variance;
    constexpr double kFaint = 20.0;
    if (sky_.sun_irradiance() <= 0.0 || exponent > kFaint ||
        world_.caster.cast_from(mirror.face, mirror.at, sky_.to_sun()).kind != Hit::Kind::nothing) {
        return 0.0;
    }
    return sky_.sun_irradiance() * std::exp(-exponent) / (2.0 * std::numbers::pi * variance);
}

}  // namespace scene
