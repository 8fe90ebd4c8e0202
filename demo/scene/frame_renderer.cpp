#include "frame_renderer.hpp"

#include "lens.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace scene {
namespace {

using heatrow::Image;

// Running mean over 2 * reach + 1 pixels along a line that goes on with its end values.
void running_mean(float* line, int count, std::ptrdiff_t stride, int reach, std::vector<double>& sums) {
    sums.assign(static_cast<std::size_t>(count + 2 * reach) + 1, 0.0);
    for (int i = 0; i < count + 2 * reach; ++i) {
        const int from = std::clamp(i - reach, 0, count - 1);
        sums[static_cast<std::size_t>(i) + 1] =
            sums[static_cast<std::size_t>(i)] + static_cast<double>(line[from * stride]);
    }
    for (int i = 0; i < count; ++i) {
        const auto first = static_cast<std::size_t>(i);
        const auto last = static_cast<std::size_t>(i + 2 * reach + 1);
        line[i * stride] = static_cast<float>((sums[last] - sums[first]) / (2 * reach + 1));
    }
}

// Light spread over tens of pixels: two running means each way make a tent of about 25 px deviation. Beyond the border
// the picture is taken to go on as it ends.
Image<float> spread_wide(Image<float> picture) {
    constexpr int kReach = 30;
    std::vector<double> sums;
    for (int pass = 0; pass < 2; ++pass) {
        for (int y = 0; y < picture.height(); ++y) {
            running_mean(picture.view().row(y), picture.width(), 1, kReach, sums);
        }
        for (int x = 0; x < picture.width(); ++x) {
            running_mean(picture.pixels().data() + x, picture.height(), picture.width(), kReach, sums);
        }
    }
    return picture;
}

}  // namespace

FrameRenderer::FrameRenderer(const World& world)
    : world_(world), planes_(world), spread_(world.spec.camera, world.hidden.blur_factor), detector_(world) {}

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

std::vector<FrameRenderer::Tap> FrameRenderer::taps(const Eigen::Vector2d& smear) const {
    if (world_.true_camera.blur_sigma_px <= 0.0) {
        return {{kMean, 0, 0, 1.0F}};
    }
    // A thermal detector answers with exp(-s/tau): it still shows where things were s ago. The instant that a frame is
    // stamped with lies in the middle of that answer, ln 2 tau before read-out: half of the light is older. So an edge
    // passes half of its height where the outline is (the mean of the answer lies 0.3 of the smear further back).
    const int steps = smear.norm() > 1e-9 ? 64 : 1;
    std::vector<Eigen::Vector2d> lags;
    for (int i = 0; i < steps; ++i) {
        lags.push_back(smear * (steps == 1 ? 0.0 : -std::log(1.0 - (i + 0.5) / steps) - std::numbers::ln2));
    }
    constexpr int kReach = LightPlanes::kBorder;
    constexpr double kFaint = 1e-6;  // of all light
    constexpr double kAlike = 2e-4;  // samples whose weights differ by less are as well taken by their mean
    std::vector<Tap> result;
    std::array<double, LightPlanes::kSamples> weights{};
    for (int dy = -kReach; dy <= kReach; ++dy) {
        for (int dx = -kReach; dx <= kReach; ++dx) {
            double sum = 0.0;
            for (int sample = 0; sample < LightPlanes::kSamples; ++sample) {
                const Eigen::Vector2d at = Eigen::Vector2d(dx, dy) + LightPlanes::offset(sample);
                double weight = 0.0;
                for (const Eigen::Vector2d& lag : lags) {
                    weight += spread_.at(at.x() - lag.x(), at.y() - lag.y());
                }
                weights[static_cast<std::size_t>(sample)] = weight / (LightPlanes::kSamples * steps);
                sum += weights[static_cast<std::size_t>(sample)];
            }
            const auto [low, high] = std::ranges::minmax(weights);
            if (sum < kFaint) {
                continue;
            }
            if (high - low < kAlike) {
                result.push_back({kMean, dx, dy, static_cast<float>(sum)});
                continue;
            }
            for (int sample = 0; sample < LightPlanes::kSamples; ++sample) {
                result.push_back({sample, dx, dy, static_cast<float>(weights[static_cast<std::size_t>(sample)])});
            }
        }
    }
    return result;
}

Image<float> FrameRenderer::blurred(const LightPlanes::Light& light, const std::vector<Tap>& taps) const {
    using Row = Eigen::Map<Eigen::ArrayXf>;
    using ConstRow = Eigen::Map<const Eigen::ArrayXf>;
    const CameraSpec& camera = world_.true_camera;
    constexpr int kBorder = LightPlanes::kBorder;
    double near = 0.0;
    for (const Tap& tap : taps) {
        near += static_cast<double>(tap.weight);
    }
    // Diffraction's share beyond the taps goes with the stray light.
    const bool blurs = camera.blur_sigma_px > 0.0;
    const double stray = blurs ? camera.stray_light : 0.0;
    const double wide = blurs && camera.diffraction ? stray + (1.0 - stray) * std::max(0.0, 1.0 - near) : stray;
    const auto scale = static_cast<float>((1.0 - wide) / near);
    const Image<float> far = wide > 0.0 ? spread_wide(light.mean) : Image<float>();
    Image<float> result(camera.width_px, camera.height_px);
    for (int y = 0; y < camera.height_px; ++y) {
        Row out(result.view().row(y), camera.width_px);
        for (const Tap& tap : taps) {
            const Image<float>& plane =
                tap.plane == kMean ? light.mean : light.samples[static_cast<std::size_t>(tap.plane)];
            out += scale * tap.weight *
                   ConstRow(plane.view().row(y + kBorder + tap.dy) + kBorder + tap.dx, camera.width_px);
        }
        if (wide > 0.0) {
            out += static_cast<float>(wide) * ConstRow(far.view().row(y + kBorder) + kBorder, camera.width_px);
        }
    }
    return result;
}

Image<float> FrameRenderer::apparent_temperature(int shot) const {
    const auto light = planes_.cast(world_.shots[static_cast<std::size_t>(shot)]);
    Image<float> result = blurred(light, taps(smear_px(shot)));
    for (float& pixel : result.pixels()) {
        pixel = static_cast<float>(world_.band.apparent_celsius(static_cast<double>(pixel)));
    }
    return result;
}

Image<float> FrameRenderer::render(int shot) const {
    return detector_.read(apparent_temperature(shot), shot);
}

}  // namespace scene
