#include "heatrow/vision/board.hpp"

#include "grey_picture.hpp"

#include <opencv2/calib3d.hpp>
#include <opencv2/features2d.hpp>
#include <opencv2/imgproc.hpp>

#include <cmath>

namespace heatrow {
namespace {

using PixelPoints = std::vector<cv::Point2f>;

// The finder takes no board with fewer inner corners.
constexpr int kLeastPointsAlongSide = 3;

std::vector<Eigen::Vector2d> to_eigen(const PixelPoints& points) {
    std::vector<Eigen::Vector2d> result;
    result.reserve(points.size());
    for (const cv::Point2f& point : points) {
        result.emplace_back(static_cast<double>(point.x), static_cast<double>(point.y));
    }
    return result;
}

// Contrast evened out between the parts of the picture: a board heated from one side fades towards the other.
cv::Mat locally_stretched(const cv::Mat& grey) {
    cv::Mat result;
    cv::createCLAHE(4.0, cv::Size(4, 4))->apply(grey, result);
    return result;
}

std::optional<PixelPoints> find_corners(const cv::Mat& grey, const cv::Size& size) {
    PixelPoints points;
    // Without CALIB_CB_NORMALIZE_IMAGE: its histogram equalisation moves corners by up to half a pixel (measured on
    // rendered boards), and the contrast is normalised already.
    if (!cv::findChessboardCornersSB(grey, size, points, cv::CALIB_CB_EXHAUSTIVE)) {
        return std::nullopt;
    }
    return points;
}

// Dark discs on a bright ground.
std::optional<PixelPoints> find_circles(const cv::Mat& grey, const cv::Size& size) {
    cv::SimpleBlobDetector::Params params;
    params.filterByColor = true;
    params.blobColor = 0;
    params.minArea = 9.0F;
    params.maxArea = static_cast<float>(grey.total()) / static_cast<float>(size.area());
    params.minDistBetweenBlobs = 3.0F;
    params.filterByInertia = false;  // oblique discs are long ellipses
    params.minConvexity = 0.8F;
    PixelPoints points;
    if (!cv::findCirclesGrid(grey, size, points, cv::CALIB_CB_SYMMETRIC_GRID, cv::SimpleBlobDetector::create(params))) {
        return std::nullopt;
    }
    return points;
}

std::optional<PixelPoints> find_points(const cv::Mat& grey, const BoardShape& shape) {
    const cv::Size size(shape.columns, shape.rows);
    return shape.pattern == BoardPattern::corners ? find_corners(grey, size) : find_circles(grey, size);
}

}  // namespace

std::string problem_of(const BoardShape& shape) {
    if (shape.columns < kLeastPointsAlongSide || shape.rows < kLeastPointsAlongSide) {
        return "a board needs at least 3 points along each side";
    }
    if (!(shape.spacing.value() > 0.0) || !std::isfinite(shape.spacing.value())) {
        return "the spacing of the points must be above 0 m";
    }
    return {};
}

std::vector<Eigen::Vector2d> points_on_board(const BoardShape& shape) {
    std::vector<Eigen::Vector2d> points;
    for (int row = 0; row < shape.rows; ++row) {
        for (int column = 0; column < shape.columns; ++column) {
            points.emplace_back(column * shape.spacing.value(), row * shape.spacing.value());
        }
    }
    return points;
}

std::optional<BoardView> find_board(CountView picture, const BoardShape& shape) {
    cv::setNumThreads(1);
    const cv::Mat grey = detail::stretched_to_8_bit(picture);
    if (grey.empty()) {
        return std::nullopt;
    }
    for (const cv::Mat& stretched : {grey, locally_stretched(grey)}) {
        for (const bool inverted : {false, true}) {
            cv::Mat tried = stretched;
            if (inverted) {
                cv::bitwise_not(stretched, tried);
            }
            if (const auto points = find_points(tried, shape)) {
                return BoardView{to_eigen(*points), inverted};
            }
        }
    }
    return std::nullopt;
}

}  // namespace heatrow
