// What the sky sends: clear air by zenith angle, clouds, the sun.
#pragma once

#include "band_radiance.hpp"
#include "heatrow/core/image.hpp"
#include "surroundings_spec.hpp"

#include <Eigen/Core>

#include <array>
#include <cstdint>
#include <vector>

namespace scene {

// A layer of clouds at the height of their base, the same pattern again and again every 16 cloud lengths.
class CloudLayer {
  public:
    CloudLayer(const SkySpec& spec, std::uint64_t seed);

    [[nodiscard]] bool none() const { return opacity_.empty(); }
    // 0 = clear, 1 = covered; direction of length 1, upwards; drift: how far the layer has moved, m east and north.
    [[nodiscard]] double opacity(const Eigen::Vector3d& direction, const Eigen::Vector2d& drift_m) const;

  private:
    double base_m_ = 0.0;
    double node_m_ = 0.0;
    double cover_ = 0.0;
    heatrow::Image<float> opacity_;
};

// The sky at one moment.
class Sky {
  public:
    // zenith_offset_k: the hidden draw; sun_share: how much of the sun's beam comes through, 0 to 1.
    Sky(const SkySpec& spec,
        const CloudLayer& clouds,
        const BandRadiance& band,
        double zenith_offset_k,
        double air_c,
        double time_s,
        double sun_share);

    // Radiance without the sun's disc; direction of length 1, upwards.
    [[nodiscard]] double at(const Eigen::Vector3d& direction) const;
    // The same without clouds.
    [[nodiscard]] double clear_at(const Eigen::Vector3d& direction) const { return clear(direction.z()); }
    // Over the hemisphere, weighted by the cosine: what a matt horizontal surface reflects.
    [[nodiscard]] double hemispherical() const { return hemispherical_; }

    [[nodiscard]] const Eigen::Vector3d& to_sun() const { return to_sun_; }
    // Of the sun in the band, on a plane that faces it, W/m2.
    [[nodiscard]] double sun_irradiance() const { return sun_irradiance_; }

    // Relative air mass by the cosine of the zenith angle: Kasten and Young 1989, Applied Optics 28, 4735-4738.
    static double air_mass(double cosine);

  private:
    struct Patch {
        Eigen::Vector3d direction;
        double inner_cosine, outer_cosine;  // fully covered inside, clear outside
        double opacity;
        double radiance;
    };
    [[nodiscard]] double clear(double cosine) const {
        const double place = cosine < 0.0 ? 0.0 : cosine * (kCount - 1);
        const double inside = place > kCount - 1.001 ? kCount - 1.001 : place;
        const auto i = static_cast<std::size_t>(inside);
        return clear_[i] + (inside - static_cast<double>(i)) * (clear_[i + 1] - clear_[i]);
    }

    static constexpr int kCount = 257;
    std::array<double, kCount> clear_{};
    const CloudLayer& clouds_;
    Eigen::Vector2d drift_m_;
    double cloud_ = 0.0;
    std::vector<Patch> patches_;
    double hemispherical_ = 0.0;
    Eigen::Vector3d to_sun_;
    double sun_irradiance_ = 0.0;
};

// Unit vector towards an azimuth (clockwise from north) and elevation.
Eigen::Vector3d direction_of(double azimuth_deg, double elevation_deg);

}  // namespace scene
