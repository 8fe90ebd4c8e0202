#include "frame_renderer.hpp"

#include "lens.hpp"
#include "random.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace scene {
namespace {

using heatrow::Image;

constexpr int kTile = 16;

// Radiance of what a ray meets, at one moment.
class Shader {
  public:
    Shader(const World& world, const WeatherNow& now)
        : world_(world),
          air_c_(now.air_c),
          rise_k_(now.rise_k),
          sun_share_(now.irradiance_felt_w_m2 / 1000.0),
          rise_share_(now.rise_k / world.weather.reference_rise_k()),
          sky_(world.band,
               now.air_c - world.spec.sky.zenith_below_air_k + world.hidden.sky_offset_k,
               now.air_c - world.spec.sky.horizon_below_air_k,
               now.air_c + world.spec.ground.above_air_k * sun_share_) {}

    [[nodiscard]] double radiance(const Hit& hit, const RayCaster::Viewpoint& from, const Eigen::Vector3d& ray) const {
        switch (hit.kind) {
            case Hit::Kind::glass:
                return glass(hit, ray);
            case Hit::Kind::rim:
                return mirrored(
                    hit, ray, world_.spec.sky.frame_emissivity, world_.band.of_celsius(air_c_ + 0.6 * rise_k_));
            case Hit::Kind::back:
                return world_.band.of_celsius(module_c(hit));  // a polymer back: taken as black
            case Hit::Kind::slab:
                return slab(hit);
            case Hit::Kind::nothing:
                break;
        }
        if (ray.z() >= -1e-9) {
            return sky_.at(ray.z() / ray.norm());
        }
        const Eigen::Vector3d at = from.position - from.position.z() / ray.z() * ray;
        const double temperature_c = air_c_ + sun_share_ * world_.ground.at(at.x(), at.y());
        return matt(world_.spec.ground.emissivity, temperature_c);
    }

  private:
    [[nodiscard]] double module_c(const Hit& hit) const {
        return air_c_ + rise_k_ + rise_share_ * world_.heat[static_cast<std::size_t>(hit.panel)].map.at(hit.x, hit.y);
    }
    [[nodiscard]] double matt(double emissivity, double temperature_c) const {
        return emissivity * world_.band.of_celsius(temperature_c) + (1.0 - emissivity) * sky_.hemispherical();
    }
    // Own radiance and the sky in the mirror.
    [[nodiscard]] double mirrored(const Hit& hit, const Eigen::Vector3d& ray, double emissivity, double own) const {
        const Eigen::Vector3d& normal = world_.caster.face(hit.face).normal;
        const double up = (ray.z() - 2.0 * hit.facing * normal.z()) / ray.norm();
        return emissivity * own + (1.0 - emissivity) * sky_.at(up);
    }
    [[nodiscard]] double glass(const Hit& hit, const Eigen::Vector3d& ray) const {
        const double emissivity = world_.glass.at(-hit.facing / ray.norm());
        return mirrored(hit, ray, emissivity, world_.band.of_celsius(module_c(hit)));
    }
    [[nodiscard]] double slab(const Hit& hit) const {
        const Slab& slab = world_.slabs[static_cast<std::size_t>(hit.face - world_.caster.table_count())];
        // Corrugated sheet: ribs of 20 cm.
        const double ribs = slab.texture_k * std::sin(2.0 * std::numbers::pi * hit.x / 0.2);
        return matt(slab.emissivity, air_c_ + sun_share_ * slab.above_air_k + ribs);
    }

    const World& world_;
    double air_c_;
    double rise_k_;
    double sun_share_;
    double rise_share_;
    SkyRadiance sky_;
};

}  // namespace

Eigen::Vector2d FrameRenderer::sample_offset(int sample) {
    const int i = sample % kSide;
    const int j = sample / kSide;
    return {(i + (j + 0.5) / kSide) / kSide - 0.5, (j + (i + 0.5) / kSide) / kSide - 0.5};
}

FrameRenderer::FrameRenderer(const World& world) : world_(world) {
    const CameraSpec& camera = world.true_camera;
    const int width = camera.width_px + 2 * kBorder;
    const int height = camera.height_px + 2 * kBorder;
    for (int sample = 0; sample < kSamples; ++sample) {
        const Eigen::Vector2d offset = sample_offset(sample);
        Image<Eigen::Vector2f> rays(width, height, Eigen::Vector2f(0.0F, 0.0F));
        for (int y = 0; y < height; ++y) {
            for (int x = 0; x < width; ++x) {
                const Eigen::Vector2d pixel(x - kBorder + offset.x(), y - kBorder + offset.y());
                rays.view()(x, y) = ray_of_pixel(camera, pixel).cast<float>();
            }
        }
        sample_rays_.push_back(std::move(rays));
    }
    fixed_pattern_k_ = Image<float>(camera.width_px, camera.height_px);
    Random random(world.seed, Stream::fixed_pattern);
    const double half_diagonal = 0.5 * std::hypot(camera.width_px, camera.height_px);
    for (int y = 0; y < camera.height_px; ++y) {
        for (int x = 0; x < camera.width_px; ++x) {
            const double r =
                std::hypot(x - 0.5 * (camera.width_px - 1), y - 0.5 * (camera.height_px - 1)) / half_diagonal;
            fixed_pattern_k_.view()(x, y) =
                static_cast<float>(camera.fixed_pattern_k * random.normal() - camera.vignetting_k * r * r);
        }
    }
}

std::vector<Image<float>> FrameRenderer::cast_rays(int shot_index) const {
    const Shot& shot = world_.shots[static_cast<std::size_t>(shot_index)];
    const Shader shader(world_, world_.weather.at(shot.time_s));
    const Eigen::Matrix3d axes = site_from_camera(shot.pose);
    const auto from = world_.caster.viewpoint(shot.pose.position_in_site);
    const int width = sample_rays_.front().width();
    const int height = sample_rays_.front().height();
    std::vector<Image<float>> planes(kSamples, Image<float>(width, height));
    const auto ray_at = [&](int sample, int x, int y) {
        const Eigen::Vector2f& ray = sample_rays_[static_cast<std::size_t>(sample)].view()(x, y);
        return Eigen::Vector3d(axes * Eigen::Vector3d(static_cast<double>(ray.x()), static_cast<double>(ray.y()), 1.0));
    };
    std::vector<int> faces;
    std::vector<Eigen::Vector3d> border;
    for (int top = 0; top < height; top += kTile) {
        for (int left = 0; left < width; left += kTile) {
            const int right = std::min(width, left + kTile);
            const int bottom = std::min(height, top + kTile);
            border.clear();
            for (const int y : {top, (top + bottom) / 2, bottom - 1}) {
                for (const int x : {left, (left + right) / 2, right - 1}) {
                    border.push_back(ray_at(0, x, y));
                    border.push_back(ray_at(kSamples - 1, x, y));
                }
            }
            world_.caster.candidates(from, border, faces);
            for (int sample = 0; sample < kSamples; ++sample) {
                auto plane = planes[static_cast<std::size_t>(sample)].view();
                for (int y = top; y < bottom; ++y) {
                    for (int x = left; x < right; ++x) {
                        const Eigen::Vector3d ray = ray_at(sample, x, y);
                        const Hit hit = world_.caster.cast(from, ray, faces);
                        plane(x, y) = static_cast<float>(shader.radiance(hit, from, ray));
                    }
                }
            }
        }
    }
    return planes;
}

Eigen::Vector2d FrameRenderer::smear_px(int shot_index) const {
    const Shot& shot = world_.shots[static_cast<std::size_t>(shot_index)];
    const CameraSpec& camera = world_.true_camera;
    const Eigen::Matrix3d axes = site_from_camera(shot.pose);
    // A module at mean height below the camera, in the middle of the picture.
    const double height = world_.plant.tables.front().face.at(0.0, 0.5 * world_.plant.tables.front().face.height_m).z();
    const double down = -axes.col(2).z();
    if (down < 0.05) {
        return {0.0, 0.0};
    }
    const double distance = (shot.pose.position_in_site.z() - height) / down;
    const Eigen::Vector3d motion_in_camera = -(axes.transpose() * shot.velocity_m_s);  // of the scene
    const Eigen::Vector3d point(0.0, 0.0, distance);
    const Eigen::Vector3d later = point + motion_in_camera * camera.time_constant_ms * 1e-3;
    const auto before_px = pixel_of_point(camera, point);
    const auto after_px = pixel_of_point(camera, later);
    return before_px && after_px ? Eigen::Vector2d(*after_px - *before_px) : Eigen::Vector2d(0.0, 0.0);
}

std::vector<FrameRenderer::Tap> FrameRenderer::point_spread(const Eigen::Vector2d& smear) const {
    const double sigma = world_.true_camera.blur_sigma_px;
    std::vector<Tap> taps;
    if (sigma <= 0.0) {
        for (int sample = 0; sample < kSamples; ++sample) {
            taps.push_back({sample, 0, 0, 1.0F / kSamples});
        }
        return taps;
    }
    // A thermal detector answers with exp(-s/tau): it still shows where things were s ago. The instant that a frame is
    // stamped with lies in the middle of that answer, ln 2 tau before read-out: half of the light is older. So an edge
    // passes half of its height where the outline is (the mean of the answer lies 0.3 of the smear further back).
    constexpr int kSteps = 64;
    std::vector<Eigen::Vector2d> lags;
    for (int i = 0; i < kSteps; ++i) {
        lags.push_back(smear * (-std::log(1.0 - (i + 0.5) / kSteps) - std::numbers::ln2));
    }
    double sum = 0.0;
    for (int sample = 0; sample < kSamples; ++sample) {
        for (int dy = -kBorder; dy <= kBorder; ++dy) {
            for (int dx = -kBorder; dx <= kBorder; ++dx) {
                const Eigen::Vector2d at = Eigen::Vector2d(dx, dy) + sample_offset(sample);
                double weight = 0.0;
                for (const Eigen::Vector2d& lag : lags) {
                    weight += std::exp(-0.5 * (at - lag).squaredNorm() / (sigma * sigma));
                }
                taps.push_back({sample, dx, dy, static_cast<float>(weight)});
                sum += weight;
            }
        }
    }
    std::erase_if(taps, [sum](const Tap& tap) { return static_cast<double>(tap.weight) < 2e-6 * sum; });
    sum = 0.0;
    for (const Tap& tap : taps) {
        sum += static_cast<double>(tap.weight);
    }
    for (Tap& tap : taps) {
        tap.weight = static_cast<float>(static_cast<double>(tap.weight) / sum);
    }
    return taps;
}

Image<float> FrameRenderer::apparent_temperature(int shot) const {
    const CameraSpec& camera = world_.true_camera;
    const auto planes = cast_rays(shot);
    const auto taps = point_spread(smear_px(shot));
    Image<float> result(camera.width_px, camera.height_px);
    for (int y = 0; y < camera.height_px; ++y) {
        float* const out = result.view().row(y);
        for (const Tap& tap : taps) {
            const float* in =
                planes[static_cast<std::size_t>(tap.sample)].view().row(y + kBorder + tap.dy) + kBorder + tap.dx;
            for (int x = 0; x < camera.width_px; ++x) {
                out[x] += tap.weight * in[x];
            }
        }
        for (int x = 0; x < camera.width_px; ++x) {
            out[x] = static_cast<float>(world_.band.apparent_celsius(static_cast<double>(out[x])));
        }
    }
    return result;
}

Image<std::uint16_t> FrameRenderer::render(int shot) const {
    const CameraSpec& camera = world_.true_camera;
    constexpr double kCalibrationPoint = 25.0;  // degC at which the camera's gain error vanishes
    const Image<float> seen = apparent_temperature(shot);
    Image<std::uint16_t> counts(camera.width_px, camera.height_px);
    Random random(world_.seed, Stream::frame_noise, static_cast<std::uint64_t>(shot));
    for (int y = 0; y < camera.height_px; ++y) {
        for (int x = 0; x < camera.width_px; ++x) {
            const double gained = kCalibrationPoint + world_.hidden.camera_gain *
                                                          (static_cast<double>(seen.view()(x, y)) - kCalibrationPoint);
            const double read =
                gained + static_cast<double>(fixed_pattern_k_.view()(x, y)) + camera.noise_k * random.normal();
            const double count = std::round((read - camera.offset) / camera.scale);
            counts.view()(x, y) = static_cast<std::uint16_t>(std::clamp(count, 1.0, 65535.0));
        }
    }
    return counts;
}

}  // namespace scene
