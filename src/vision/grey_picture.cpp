#include "grey_picture.hpp"

#include "heatrow/core/quantile.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace heatrow::detail {
namespace {

constexpr double kLowShare = 0.01;
constexpr double kHighShare = 0.99;

}  // namespace

cv::Mat stretched_to_8_bit(CountView picture) {
    std::vector<float> finite;
    finite.reserve(static_cast<std::size_t>(picture.width()) * static_cast<std::size_t>(picture.height()));
    for (int y = 0; y < picture.height(); ++y) {
        std::copy_if(picture.row(y), picture.row(y) + picture.width(), std::back_inserter(finite), [](float count) {
            return std::isfinite(count);
        });
    }
    if (finite.empty()) {
        return {};
    }
    const float low = take_quantile(finite, kLowShare);
    const float high = take_quantile(finite, kHighShare);
    if (!(high > low)) {
        return {};
    }
    cv::Mat grey(picture.height(), picture.width(), CV_8UC1);
    for (int y = 0; y < picture.height(); ++y) {
        const float* counts = picture.row(y);
        auto* out = grey.ptr<std::uint8_t>(y);
        for (int x = 0; x < picture.width(); ++x) {
            const float share = std::isfinite(counts[x]) ? (counts[x] - low) / (high - low) : 0.5F;
            out[x] = static_cast<std::uint8_t>(std::lround(255.0F * std::clamp(share, 0.0F, 1.0F)));
        }
    }
    return grey;
}

}  // namespace heatrow::detail
