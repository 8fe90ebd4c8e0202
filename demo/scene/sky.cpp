#include "sky.hpp"

#include "random.hpp"
#include "smooth_noise.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace scene {
namespace {

constexpr double kDegree = std::numbers::pi / 180.0;
constexpr int kPeriod = 16;          // cloud lengths until the layer repeats
constexpr int kNodesPerLength = 32;  // of its raster

double smooth_step(double t) {
    const double x = std::clamp(t, 0.0, 1.0);
    return x * x * (3.0 - 2.0 * x);
}

}  // namespace

Eigen::Vector3d direction_of(double azimuth_deg, double elevation_deg) {
    const double azimuth = azimuth_deg * kDegree;
    const double elevation = elevation_deg * kDegree;
    return {std::sin(azimuth) * std::cos(elevation), std::cos(azimuth) * std::cos(elevation), std::sin(elevation)};
}

CloudLayer::CloudLayer(const SkySpec& spec, std::uint64_t seed)
    : base_m_(spec.cloud_base_m), node_m_(spec.cloud_size_m / kNodesPerLength), cover_(spec.cloud_cover) {
    if (spec.cloud_cover <= 0.0) {
        return;
    }
    constexpr int kSide = kPeriod * kNodesPerLength;
    const std::uint64_t base = Random(seed, Stream::clouds).bits();
    heatrow::Image<float> height(kSide, kSide);
    for (int y = 0; y < kSide; ++y) {
        for (int x = 0; x < kSide; ++x) {
            double sum = 0.0;
            double weight = 1.0;
            int period = kPeriod;
            for (std::uint64_t octave = 0; octave < 5; ++octave) {
                const double scale = static_cast<double>(period) / kSide;
                sum += weight * smooth_noise(base + octave, x * scale, y * scale, period);
                weight *= 0.5;
                period *= 2;
            }
            height.view()(x, y) = static_cast<float>(sum);
        }
    }
    // The level above which the stated share of the layer lies.
    std::vector<float> sorted = height.pixels();
    const auto level_at =
        static_cast<std::size_t>((1.0 - std::min(spec.cloud_cover, 1.0)) * static_cast<double>(sorted.size() - 1));
    std::nth_element(sorted.begin(), sorted.begin() + static_cast<std::ptrdiff_t>(level_at), sorted.end());
    const double level = static_cast<double>(sorted[level_at]);
    const double edge = std::max(0.01, spec.cloud_edge);
    opacity_ = heatrow::Image<float>(kSide, kSide);
    for (std::size_t i = 0; i < sorted.size(); ++i) {
        opacity_.pixels()[i] =
            static_cast<float>(smooth_step((static_cast<double>(height.pixels()[i]) - level) / edge + 0.5));
    }
}

double CloudLayer::opacity(const Eigen::Vector3d& direction, const Eigen::Vector2d& drift_m) const {
    // Towards the horizon many clouds stand behind one another and their pattern is finer than what is mirrored.
    constexpr double kLowest = 0.12;
    constexpr double kFull = 0.2;
    const double sharp = smooth_step((direction.z() - kLowest) / (kFull - kLowest));
    if (sharp <= 0.0) {
        return cover_;
    }
    const int side = opacity_.width();
    const Eigen::Vector2d at = (base_m_ / direction.z() * direction.head<2>() - drift_m) / node_m_;
    const double fx = std::floor(at.x());
    const double fy = std::floor(at.y());
    const auto wrap = [side](double v) {
        const auto i = static_cast<std::int64_t>(v) % side;
        return static_cast<int>(i < 0 ? i + side : i);
    };
    const int x0 = wrap(fx);
    const int y0 = wrap(fy);
    const int x1 = x0 + 1 < side ? x0 + 1 : 0;
    const int y1 = y0 + 1 < side ? y0 + 1 : 0;
    const double sx = at.x() - fx;
    const double sy = at.y() - fy;
    const auto value = [this](int x, int y) { return static_cast<double>(opacity_.view()(x, y)); };
    const double lower = value(x0, y0) + sx * (value(x1, y0) - value(x0, y0));
    const double upper = value(x0, y1) + sx * (value(x1, y1) - value(x0, y1));
    return cover_ + sharp * (lower + sy * (upper - lower) - cover_);
}

double Sky::air_mass(double cosine) {
    const double zenith_deg = std::acos(std::clamp(cosine, 0.0, 1.0)) / kDegree;
    return 1.0 / (std::clamp(cosine, 0.0, 1.0) + 0.50572 * std::pow(96.07995 - zenith_deg, -1.6364));
}

Sky::Sky(const SkySpec& spec,
         const CloudLayer& clouds,
         const BandRadiance& band,
         double zenith_offset_k,
         double air_c,
         double time_s,
         double sun_share)
    : clouds_(clouds),
      drift_m_(spec.cloud_speed_m_s * time_s * direction_of(spec.cloud_toward_deg, 0.0).head<2>()),
      cloud_(band.of_celsius(air_c - spec.cloud_below_air_k)),
      to_sun_(direction_of(spec.sun_azimuth_deg, spec.sun_elevation_deg)) {
    // A grey layer of air at the horizon's temperature: it lets through the same share of its own emission again for
    // each air mass, and black space lies behind it.
    const double layer = band.of_celsius(air_c - spec.horizon_below_air_k);
    const double zenith = band.of_celsius(air_c - spec.zenith_below_air_k + zenith_offset_k);
    const double through = std::clamp(1.0 - zenith / layer, 0.0, 1.0);
    double sum = 0.0;
    double weights = 0.0;
    for (int i = 0; i < kCount; ++i) {
        const double cosine = static_cast<double>(i) / (kCount - 1);
        const double radiance = layer * (1.0 - std::pow(through, air_mass(cosine)));
        clear_[static_cast<std::size_t>(i)] = radiance;
        sum += cosine * (radiance + spec.cloud_cover * (cloud_ - radiance));
        weights += cosine;
    }
    hemispherical_ = sum / weights;
    for (const CloudSpec& cloud : spec.clouds) {
        const double half = 0.5 * cloud.width_deg;
        patches_.push_back({direction_of(cloud.azimuth_deg, cloud.elevation_deg),
                            std::cos(std::max(0.0, half - 0.5 * cloud.edge_deg) * kDegree),
                            std::cos((half + 0.5 * cloud.edge_deg) * kDegree),
                            cloud.opacity,
                            band.of_celsius(air_c - cloud.below_air_k)});
    }
    // The sun as a black body of 5772 K (nominal effective temperature, IAU 2015), half a degree wide.
    constexpr double kSunRadius = 0.004652;  // rad
    const double disc = integrate_band_radiance(5772.0) * std::numbers::pi * kSunRadius * kSunRadius;
    sun_irradiance_ = to_sun_.z() > 0.0 ? sun_share * disc * std::pow(through, air_mass(to_sun_.z())) : 0.0;
}

double Sky::at(const Eigen::Vector3d& direction) const {
    double radiance = clear(direction.z());
    if (!clouds_.none()) {
        radiance += clouds_.opacity(direction, drift_m_) * (cloud_ - radiance);
    }
    for (const Patch& patch : patches_) {
        const double cosine = patch.direction.dot(direction);
        if (cosine > patch.outer_cosine) {
            const double share =
                patch.inner_cosine > patch.outer_cosine
                    ? smooth_step((cosine - patch.outer_cosine) / (patch.inner_cosine - patch.outer_cosine))
                    : 1.0;
            radiance += patch.opacity * share * (patch.radiance - radiance);
        }
    }
    return radiance;
}

}  // namespace scene
