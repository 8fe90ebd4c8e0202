#include "light_planes.hpp"

#include "lens.hpp"

#include <tbb/parallel_for.h>

#include <algorithm>
#include <cmath>

namespace scene {
namespace {

using heatrow::Image;

constexpr int kTile = 16;
// How far the light of a pixel may lie off the mean of its neighbours, W/m2sr (nearly a kelvin each), and still be
// taken as even: a pixel's own mean is off by a twelfth of it.
constexpr float kBend = 0.15F;

}  // namespace

struct LightPlanes::View {
    Shader shader;
    Eigen::Matrix3d axes;
    RayCaster::Viewpoint from;
};

Eigen::Vector2d LightPlanes::offset(int sample) {
    const int i = sample % kSide;
    const int j = sample / kSide;
    return {(i + (j + 0.5) / kSide) / kSide - 0.5, (j + (i + 0.5) / kSide) / kSide - 0.5};
}

LightPlanes::LightPlanes(const World& world, Effort effort)
    : world_(world),
      effort_(effort),
      width_(world.true_camera.width_px + 2 * kBorder),
      height_(world.true_camera.height_px + 2 * kBorder),
      rays_(width_, height_, Eigen::Vector2f::Zero()),
      slopes_(width_, height_, Eigen::Vector4f::Zero()) {
    Image<Eigen::Vector2d> wide(width_ + 2, height_ + 2, Eigen::Vector2d::Zero());
    tbb::parallel_for(0, height_ + 2, [&](int y) {
        for (int x = 0; x < width_ + 2; ++x) {
            wide.view()(x, y) = ray_of_pixel(world.true_camera, {x - 1 - kBorder, y - 1 - kBorder});
        }
    });
    const auto at = [&wide](int x, int y) -> const Eigen::Vector2d& { return wide.view()(x + 1, y + 1); };
    for (int y = 0; y < height_; ++y) {
        for (int x = 0; x < width_; ++x) {
            const Eigen::Vector2d along = 0.5 * (at(x + 1, y) - at(x - 1, y));
            const Eigen::Vector2d down = 0.5 * (at(x, y + 1) - at(x, y - 1));
            rays_.view()(x, y) = at(x, y).cast<float>();
            slopes_.view()(x, y) = Eigen::Vector4d(along.x(), along.y(), down.x(), down.y()).cast<float>();
        }
    }
}

Eigen::Vector3d LightPlanes::direction(const Eigen::Matrix3d& axes, int x, int y, int sample) const {
    Eigen::Vector2d ray = rays_.view()(x, y).cast<double>();
    if (sample != kCentre) {
        const Eigen::Vector4d slope = slopes_.view()(x, y).cast<double>();
        const Eigen::Vector2d step = offset(sample);
        ray += step.x() * slope.head<2>() + step.y() * slope.tail<2>();
    }
    return axes.col(0) * ray.x() + axes.col(1) * ray.y() + axes.col(2);
}

std::vector<LightPlanes::Tile> LightPlanes::tiles(const View& view) const {
    std::vector<Tile> result;
    std::vector<Eigen::Vector3d> border;
    for (int top = 0; top < height_; top += kTile) {
        for (int left = 0; left < width_; left += kTile) {
            Tile tile{left, top, std::min(width_, left + kTile), std::min(height_, top + kTile), {}};
            border.clear();
            for (const int y : {top, (top + tile.bottom) / 2, tile.bottom - 1}) {
                for (const int x : {left, (left + tile.right) / 2, tile.right - 1}) {
                    border.push_back(direction(view.axes, x, y, 0));
                    border.push_back(direction(view.axes, x, y, kSamples - 1));
                }
            }
            world_.caster.candidates(view.from, border, tile.faces);
            result.push_back(std::move(tile));
        }
    }
    return result;
}

LightPlanes::Centres LightPlanes::centres(const View& view, const std::vector<Tile>& tiles) const {
    Centres result{Image<float>(width_, height_), Image<std::uint32_t>(width_, height_)};
    auto radiance = result.radiance.view();
    auto surface = result.surface.view();
    for (const Tile& tile : tiles) {
        for (int y = tile.top; y < tile.bottom; ++y) {
            for (int x = tile.left; x < tile.right; ++x) {
                const Eigen::Vector3d ray = direction(view.axes, x, y, kCentre);
                const Shader::Seen seen =
                    view.shader.look(world_.caster.cast(view.from, ray, tile.faces), view.from.position, ray);
                radiance(x, y) = static_cast<float>(seen.radiance);
                surface(x, y) = seen.surface;
            }
        }
    }
    return result;
}

bool LightPlanes::even(const Centres& centres, int x, int y) const {
    if (effort_ == Effort::every_ray || x == 0 || y == 0 || x + 1 == width_ || y + 1 == height_) {
        return false;
    }
    const auto surface = centres.surface.view();
    const std::uint32_t own = surface(x, y);
    for (int dy = -1; dy <= 1; ++dy) {
        const std::uint32_t* row = surface.row(y + dy) + x;
        if (row[-1] != own || row[0] != own || row[1] != own) {
            return false;
        }
    }
    const auto radiance = centres.radiance.view();
    const float twice = 2.0F * radiance(x, y);
    return std::abs(radiance(x - 1, y) + radiance(x + 1, y) - twice) < 2.0F * kBend &&
           std::abs(radiance(x, y - 1) + radiance(x, y + 1) - twice) < 2.0F * kBend;
}

LightPlanes::Light LightPlanes::cast(const Shot& shot) const {
    const View view{
        Shader(world_, shot), site_from_camera(shot.pose), world_.caster.viewpoint(shot.pose.position_in_site)};
    const std::vector<Tile> all = tiles(view);
    const Centres centre = centres(view, all);
    Light light{std::vector<Image<float>>(kSamples, Image<float>(width_, height_)), centre.radiance};
    std::array<Eigen::Vector2f, kSamples> steps;
    for (int sample = 0; sample < kSamples; ++sample) {
        steps[static_cast<std::size_t>(sample)] = offset(sample).cast<float>();
    }
    std::array<float*, kSamples> out{};
    const auto middle = centre.radiance.view();
    for (const Tile& tile : all) {
        for (int y = tile.top; y < tile.bottom; ++y) {
            for (std::size_t sample = 0; sample < kSamples; ++sample) {
                out[sample] = light.samples[sample].view().row(y);
            }
            for (int x = tile.left; x < tile.right; ++x) {
                const float own = middle(x, y);
                if (even(centre, x, y)) {
                    const float along = 0.5F * (middle(x + 1, y) - middle(x - 1, y));
                    const float down = 0.5F * (middle(x, y + 1) - middle(x, y - 1));
                    for (std::size_t sample = 0; sample < kSamples; ++sample) {
                        out[sample][x] = own + steps[sample].x() * along + steps[sample].y() * down;
                    }
                    continue;
                }
                float sum = own;
                for (int sample = 0; sample < kSamples; ++sample) {
                    if (sample == kCentre) {
                        out[kCentre][x] = own;
                        continue;
                    }
                    const Eigen::Vector3d ray = direction(view.axes, x, y, sample);
                    const Hit hit = world_.caster.cast(view.from, ray, tile.faces);
                    const auto value = static_cast<float>(view.shader.look(hit, view.from.position, ray).radiance);
                    out[static_cast<std::size_t>(sample)][x] = value;
                    sum += value;
                }
                light.mean.view()(x, y) = sum / static_cast<float>(kSamples);
            }
        }
    }
    return light;
}

}  // namespace scene
