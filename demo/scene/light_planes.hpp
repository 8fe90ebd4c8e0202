// The light that falls through the lens, before any blur: nine samples a pixel, picture and a border around it.
#pragma once

#include "heatrow/core/image.hpp"
#include "shader.hpp"
#include "world.hpp"

#include <Eigen/Core>

#include <vector>

namespace scene {

class LightPlanes {
  public:
    // 3 x 3 samples a pixel, no two in one line with an edge that runs along the pixels; the middle one is the centre.
    static constexpr int kSide = 3;
    static constexpr int kSamples = kSide * kSide;
    static constexpr int kCentre = kSamples / 2;
    static constexpr int kBorder = 9;  // pixels around the picture that blur and smear reach into
    // Offset of a sample from the pixel's centre, px.
    static Eigen::Vector2d offset(int sample);

    // every_ray: each sample has a ray of its own everywhere; to check the shortcut against.
    enum class Effort { adaptive, every_ray };
    explicit LightPlanes(const World& world, Effort effort = Effort::adaptive);

    struct Light {
        std::vector<heatrow::Image<float>> samples;  // radiance, W/m2sr
        heatrow::Image<float> mean;                  // of the samples
    };
    // Every pixel has a ray through its centre. Where its neighbours lie on the same surface and the light hardly bends
    // between them, the other samples are taken from the slope; elsewhere each has a ray of its own.
    [[nodiscard]] Light cast(const Shot& shot) const;

  private:
    struct Tile {
        int left, top, right, bottom;
        std::vector<int> faces;
    };
    struct Centres {
        heatrow::Image<float> radiance;
        heatrow::Image<std::uint32_t> surface;
    };
    struct View;

    [[nodiscard]] Eigen::Vector3d direction(const Eigen::Matrix3d& axes, int x, int y, int sample) const;
    [[nodiscard]] std::vector<Tile> tiles(const View& view) const;
    [[nodiscard]] Centres centres(const View& view, const std::vector<Tile>& tiles) const;
    [[nodiscard]] bool even(const Centres& centres, int x, int y) const;

    const World& world_;
    Effort effort_;
    int width_;  // with the border
    int height_;
    // Directions in the camera frame (z = 1) of the pixel centres, one more on each side, and how they change a pixel.
    heatrow::Image<Eigen::Vector2f> rays_;
    heatrow::Image<Eigen::Vector4f> slopes_;
};

}  // namespace scene
