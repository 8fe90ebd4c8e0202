#include "heatrow/measure/smoothing.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <vector>

namespace heatrow {
namespace {

std::vector<float> half_kernel(double sigma_px) {
    const int reach = static_cast<int>(std::ceil(3.0 * sigma_px));
    std::vector<float> weights;
    for (int i = 0; i <= reach; ++i) {
        weights.push_back(static_cast<float>(std::exp(-0.5 * i * i / (sigma_px * sigma_px))));
    }
    return weights;
}

// Weighted sums along rows: out(x, y) = sum over i of w[|i|] in(x + i, y), pixels outside left out.
Image<float> along_rows(const Image<float>& in, const std::vector<float>& weights) {
    const int reach = static_cast<int>(weights.size()) - 1;
    Image<float> out(in.width(), in.height());
    const auto from = in.view();
    const auto to = out.view();
    for (int y = 0; y < in.height(); ++y) {
        const float* source = from.row(y);
        for (int x = 0; x < in.width(); ++x) {
            float sum = 0.0F;
            for (int i = std::max(-reach, -x); i <= std::min(reach, in.width() - 1 - x); ++i) {
                sum += weights[static_cast<std::size_t>(std::abs(i))] * source[x + i];
            }
            to(x, y) = sum;
        }
    }
    return out;
}

Image<float> along_columns(const Image<float>& in, const std::vector<float>& weights) {
    const int reach = static_cast<int>(weights.size()) - 1;
    Image<float> out(in.width(), in.height(), 0.0F);
    const auto from = in.view();
    const auto to = out.view();
    for (int y = 0; y < in.height(); ++y) {
        float* sums = to.row(y);
        for (int i = std::max(-reach, -y); i <= std::min(reach, in.height() - 1 - y); ++i) {
            const float weight = weights[static_cast<std::size_t>(std::abs(i))];
            const float* source = from.row(y + i);
            for (int x = 0; x < in.width(); ++x) {
                sums[x] += weight * source[x];
            }
        }
    }
    return out;
}

}  // namespace

Image<float> smooth(ImageView<const float> picture, double sigma_px) {
    Image<float> values(picture.width(), picture.height(), 0.0F);
    Image<float> known(picture.width(), picture.height(), 0.0F);
    const auto value = values.view();
    const auto is_known = known.view();
    for (int y = 0; y < picture.height(); ++y) {
        for (int x = 0; x < picture.width(); ++x) {
            if (!std::isnan(picture(x, y))) {
                value(x, y) = picture(x, y);
                is_known(x, y) = 1.0F;
            }
        }
    }
    const std::vector<float> weights = half_kernel(sigma_px);
    Image<float> sums = along_columns(along_rows(values, weights), weights);
    const Image<float> totals = along_columns(along_rows(known, weights), weights);
    const auto sum = sums.view();
    const auto total = totals.view();
    for (int y = 0; y < picture.height(); ++y) {
        for (int x = 0; x < picture.width(); ++x) {
            sum(x, y) = std::isnan(picture(x, y)) ? std::numeric_limits<float>::quiet_NaN() : sum(x, y) / total(x, y);
        }
    }
    return sums;
}

}  // namespace heatrow
