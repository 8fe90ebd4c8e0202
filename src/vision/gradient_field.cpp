#include "gradient_field.hpp"

#include "heatrow/core/median.hpp"

#include <opencv2/core.hpp>

#include <cmath>
#include <numbers>
#include <vector>

namespace heatrow::detail {
namespace {

double median_difference(std::span<const Image<float>* const> frames,
                         std::size_t from,
                         std::size_t to,
                         std::vector<double>& scratch) {
    scratch.clear();
    for (const Image<float>* frame : frames) {
        const double difference = static_cast<double>(frame->pixels()[to]) - static_cast<double>(frame->pixels()[from]);
        if (std::isfinite(difference)) {
            scratch.push_back(difference);
        }
    }
    return 2 * scratch.size() >= frames.size() ? take_median(scratch) : kNaN;
}

double or_zero(double value) {
    return std::isnan(value) ? 0.0 : value;
}

// The transform takes even sizes only: an odd side gets its last line twice, with no difference between the two.
int even(int side) {
    return side + side % 2;
}

// Minus the divergence of the wanted differences, which the least-squares field's Laplacian has to meet.
cv::Mat divergence(const GradientField& gradients) {
    const int width = gradients.right.width();
    const int height = gradients.right.height();
    cv::Mat result = cv::Mat::zeros(even(height), even(width), CV_64F);
    for (int y = 0; y < result.rows; ++y) {
        const int from_y = std::min(y, height - 1);
        for (int x = 0; x + 1 < width; ++x) {
            const double step = or_zero(gradients.right.view()(x, from_y));
            result.at<double>(y, x) -= step;
            result.at<double>(y, x + 1) += step;
        }
    }
    for (int x = 0; x < result.cols; ++x) {
        const int from_x = std::min(x, width - 1);
        for (int y = 0; y + 1 < height; ++y) {
            const double step = or_zero(gradients.down.view()(from_x, y));
            result.at<double>(y, x) -= step;
            result.at<double>(y + 1, x) += step;
        }
    }
    return result;
}

}  // namespace

GradientField median_gradients(std::span<const Image<float>* const> frames) {
    const int width = frames.front()->width();
    const int height = frames.front()->height();
    GradientField result{Image<double>(width, height, kNaN), Image<double>(width, height, kNaN)};
    std::vector<double> scratch;
    scratch.reserve(frames.size());
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            const std::size_t at =
                static_cast<std::size_t>(y) * static_cast<std::size_t>(width) + static_cast<std::size_t>(x);
            if (x + 1 < width) {
                result.right.view()(x, y) = median_difference(frames, at, at + 1, scratch);
            }
            if (y + 1 < height) {
                result.down.view()(x, y) = median_difference(frames, at, at + static_cast<std::size_t>(width), scratch);
            }
        }
    }
    return result;
}

Image<double> integrate(const GradientField& gradients) {
    cv::Mat field = divergence(gradients);
    cv::dct(field, field);
    // Eigenvalues of the Laplacian with free borders under the cosine transform.
    const auto eigenvalue = [](int index, int count) { return 2.0 - 2.0 * std::cos(std::numbers::pi * index / count); };
    for (int y = 0; y < field.rows; ++y) {
        for (int x = 0; x < field.cols; ++x) {
            const double divisor = eigenvalue(x, field.cols) + eigenvalue(y, field.rows);
            field.at<double>(y, x) = divisor > 0.0 ? field.at<double>(y, x) / divisor : 0.0;
        }
    }
    cv::idct(field, field);
    Image<double> result(gradients.right.width(), gradients.right.height());
    double sum = 0.0;
    for (int y = 0; y < result.height(); ++y) {
        for (int x = 0; x < result.width(); ++x) {
            result.view()(x, y) = field.at<double>(y, x);
            sum += field.at<double>(y, x);
        }
    }
    for (double& value : result.pixels()) {
        value -= sum / static_cast<double>(result.pixels().size());
    }
    return result;
}

}  // namespace heatrow::detail
