#include "board_coverage.hpp"

#include <opencv2/imgproc.hpp>

#include <algorithm>
#include <vector>

namespace heatrow::detail {
namespace {

constexpr int kStepPx = 4;

std::vector<cv::Point2f> outline(const BoardFrame& frame) {
    std::vector<cv::Point2f> points;
    for (const Eigen::Vector2d& point : frame.points_px) {
        points.emplace_back(static_cast<float>(point.x()), static_cast<float>(point.y()));
    }
    std::vector<cv::Point2f> hull;
    cv::convexHull(points, hull);
    return hull;
}

}  // namespace

double board_coverage(std::span<const BoardFrame> frames, int width_px, int height_px) {
    std::vector<std::vector<cv::Point2f>> outlines;
    for (const BoardFrame& frame : frames) {
        outlines.push_back(outline(frame));
    }
    int inside = 0;
    int all = 0;
    for (int y = kStepPx / 2; y < height_px; y += kStepPx) {
        for (int x = kStepPx / 2; x < width_px; x += kStepPx) {
            const cv::Point2f at(static_cast<float>(x), static_cast<float>(y));
            ++all;
            inside += std::any_of(outlines.begin(),
                                  outlines.end(),
                                  [&](const auto& hull) { return cv::pointPolygonTest(hull, at, false) >= 0.0; })
                          ? 1
                          : 0;
        }
    }
    return all == 0 ? 0.0 : static_cast<double>(inside) / all;
}

double board_reach(std::span<const BoardFrame> frames, int width_px, int height_px) {
    const Eigen::Vector2d middle(0.5 * (width_px - 1), 0.5 * (height_px - 1));
    double farthest_px = 0.0;
    for (const BoardFrame& frame : frames) {
        for (const Eigen::Vector2d& point : frame.points_px) {
            farthest_px = std::max(farthest_px, (point - middle).norm());
        }
    }
    return farthest_px / (0.5 * Eigen::Vector2d(width_px, height_px).norm());
}

}  // namespace heatrow::detail
