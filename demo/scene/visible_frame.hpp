// Visible-light partner frames, plainly drawn: what stands where, dirt, shade, vegetation, glint. No photometry.
#pragma once

#include "world.hpp"

#include <array>
#include <cstdint>
#include <filesystem>
#include <map>
#include <string>
#include <vector>

namespace scene {

// Three bytes a pixel, red, green, blue, row by row.
struct ColourPicture {
    int width = 0;
    int height = 0;
    std::vector<std::uint8_t> bytes;
};

class VisibleRenderer {
  public:
    // The scene must have a [visible] camera.
    explicit VisibleRenderer(const World& world);

    // The partner of one thermal shot.
    [[nodiscard]] ColourPicture render(int shot) const;

  private:
    using Colour = Eigen::Vector3f;  // 0 to 1
    struct Ray {
        Eigen::Vector3d from;
        Eigen::Vector3d direction;  // of length 1
    };
    [[nodiscard]] Colour look(const Hit& hit, const Ray& ray, double metres_per_pixel) const;
    [[nodiscard]] Colour module(const Hit& hit, const Ray& ray, double metres_per_pixel) const;
    [[nodiscard]] Colour glass(const Hit& hit, double pixel_m) const;
    [[nodiscard]] Colour ground(const Ray& ray) const;
    [[nodiscard]] float lit(int face, const Eigen::Vector3d& at) const;

    const World& world_;
    CameraSpec camera_;
    Eigen::Vector3d to_sun_;
    std::multimap<int, const Fault*> marks_;  // dirt and broken glass, by panel
};

// Name of a thermal frame's partner, by the names in world.shots.
std::string visible_name(const World& world, const std::string& thermal);

// Throws heatrow::Error when the disk refuses.
void write_picture(const std::filesystem::path& file, const ColourPicture& picture, const VisibleSpec& spec);

}  // namespace scene
