#include "visible_partners.hpp"

#include "heatrow/georeference/frame_lock.hpp"
#include "heatrow/io/colour_picture.hpp"
#include "heatrow/io/lens_settings.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <numbers>

namespace heatrow {
namespace {

using std::chrono::duration;

constexpr std::chrono::seconds kLongestApart{1};  // common practice, no source: both shutters follow one trigger
constexpr std::chrono::seconds kLongestGap{5};    // between thermal frames, to tell the camera's way between them

double apart_s(UtcTime a, UtcTime b) {
    return std::abs(duration<double>(a - b).count());
}

Radians turned(Radians from, Radians to, double share) {
    const double turn = std::remainder((to - from).value(), 2.0 * std::numbers::pi);
    return Radians(from.value() + share * turn);
}

// On the straight way from one pose to the other, or beyond it.
FramePose between(const FramePose& from, const FramePose& to, double share) {
    FramePose pose;
    pose.position_in_site = from.position_in_site + share * (to.position_in_site - from.position_in_site);
    // Angles of a camera that flies on change little and not evenly: beyond the ends they stay.
    const double turn = std::clamp(share, 0.0, 1.0);
    pose.yaw = turned(from.yaw, to.yaw, turn);
    pose.pitch = turned(from.pitch, to.pitch, turn);
    pose.roll = turned(from.roll, to.roll, turn);
    return pose;
}

Image<float> grey_blocks(const Image<Colour>& pixels, int block) {
    Image<float> grey(pixels.width() / block, pixels.height() / block);
    const auto view = pixels.view();
    for (int y = 0; y < grey.height(); ++y) {
        for (int x = 0; x < grey.width(); ++x) {
            int sum = 0;
            for (int dy = 0; dy < block; ++dy) {
                for (int dx = 0; dx < block; ++dx) {
                    const Colour colour = view(x * block + dx, y * block + dy);
                    sum += colour.red + colour.green + colour.blue;
                }
            }
            grey.view()(x, y) = static_cast<float>(sum) / static_cast<float>(3 * block * block);
        }
    }
    return grey;
}

// The lens of a picture whose pixels were taken together in square blocks.
Lens blocks_of(Lens lens, int block) {
    lens.width_px /= block;
    lens.height_px /= block;
    lens.focal_px /= block;
    lens.principal_point_px = ((lens.principal_point_px.array() + 0.5) / block - 0.5).matrix();
    return lens;
}

Matrix6d spread_of(double position_m, Radians attitude) {
    Matrix6d covariance = Matrix6d::Zero();
    covariance.diagonal() << Eigen::Vector3d::Constant(position_m * position_m),
        Eigen::Vector3d::Constant(attitude.value() * attitude.value());
    return covariance;
}

// From coarse to fine, since coarse pixels catch a pose that is further off.
std::optional<FramePose> fitted(const SurveyInputs& inputs,
                                const LayoutIndex& site,
                                const Image<Colour>& pixels,
                                const Lens& lens,
                                const FramePose& start) {
    // A turn of the mount moves the picture as a step of the camera does: only the attitude is left free to take it up.
    constexpr double kPosition_m = 0.1;
    const Radians kAttitude = degrees(1.0);
    const int fine = std::max(1, static_cast<int>(std::lround(lens.focal_px / inputs.lens.focal_px)));
    FramePose pose = start;
    Matrix6d covariance = spread_of(kPosition_m, kAttitude);
    bool fits = false;
    for (const int block : {3 * fine, fine}) {
        const Image<float> grey = grey_blocks(pixels, block);
        const auto locked = polish_pose(site, blocks_of(lens, block), pose, covariance, grey.view());
        fits = locked.has_value();
        if (fits) {
            pose = locked->pose;
            covariance = spread_of(0.5 * kPosition_m, degrees(0.2));
        }
    }
    return fits ? std::optional(pose) : std::nullopt;
}

}  // namespace

VisiblePartners::VisiblePartners(const SurveyInputs& inputs,
                                 const LayoutIndex& site,
                                 const std::vector<FrameOutcome>& outcomes)
    : inputs_(inputs), site_(site) {
    for (std::size_t i = 0; i < outcomes.size(); ++i) {
        if (!outcomes[i].rejection) {
            placed_.emplace_back(inputs.frames.priors[i].time, outcomes[i].record.pose);
        }
    }
    std::stable_sort(placed_.begin(), placed_.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
}

std::optional<std::size_t> VisiblePartners::of_frame(int frame) const {
    const UtcTime time = inputs_.frames.priors[static_cast<std::size_t>(frame)].time;
    const auto& pictures = inputs_.visible.frames;
    const auto nearest =
        std::min_element(pictures.begin(), pictures.end(), [&](const VisibleFrame& a, const VisibleFrame& b) {
            return apart_s(a.time, time) < apart_s(b.time, time);
        });
    if (nearest == pictures.end() || apart_s(nearest->time, time) > duration<double>(kLongestApart).count() ||
        !pose_at(nearest->time)) {
        return std::nullopt;
    }
    return static_cast<std::size_t>(nearest - pictures.begin());
}

std::optional<FramePose> VisiblePartners::pose_at(UtcTime time) const {
    const auto after = std::lower_bound(
        placed_.begin(), placed_.end(), time, [](const auto& placed, UtcTime when) { return placed.first < when; });
    // The frames before and after; at the ends of the flight the two nearest.
    const auto count = static_cast<std::ptrdiff_t>(placed_.size());
    const std::ptrdiff_t second =
        std::clamp<std::ptrdiff_t>(after - placed_.begin(), 1, std::max<std::ptrdiff_t>(1, count - 1));
    if (count == 0) {
        return std::nullopt;
    }
    const auto& from = placed_[static_cast<std::size_t>(second - 1)];
    const auto& to = placed_[static_cast<std::size_t>(std::min(second, count - 1))];
    const double gap_s = duration<double>(to.first - from.first).count();
    if (gap_s > 0.0 && gap_s <= duration<double>(kLongestGap).count()) {
        return between(from.second, to.second, duration<double>(time - from.first).count() / gap_s);
    }
    const auto& nearest = apart_s(from.first, time) <= apart_s(to.first, time) ? from : to;
    return apart_s(nearest.first, time) <= duration<double>(kLongestApart).count() ? std::optional(nearest.second)
                                                                                   : std::nullopt;
}

tl::expected<LaidPicture, Rejection> VisiblePartners::lay(std::size_t picture) const {
    const FrameFile& file = inputs_.visible.frames[picture].file;
    const CameraSettings& camera = inputs_.settings.camera_named(inputs_.settings.visible_frames->camera);
    auto pixels = read_colour_picture(file.path);
    if (!pixels) {
        return tl::unexpected(pixels.error());
    }
    if (pixels->width() != camera.width_px || pixels->height() != camera.height_px) {
        return tl::unexpected(Rejection{RejectReason::wrong_size,
                                        fmt::format("{} has {} x {} pixels, camera '{}' is declared with {} x {}",
                                                    file.name,
                                                    pixels->width(),
                                                    pixels->height(),
                                                    camera.id,
                                                    camera.width_px,
                                                    camera.height_px)});
    }
    const Lens lens = lens_of(camera);
    const FramePose start = *pose_at(inputs_.visible.frames[picture].time);
    const auto found = fitted(inputs_, site_, *pixels, lens, start);
    return LaidPicture{std::move(*pixels), PosedCamera(lens, found.value_or(start)), found.has_value()};
}

}  // namespace heatrow
