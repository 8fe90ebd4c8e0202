// Homographies and four-sided areas against OpenCV's own results.
#include "heatrow/core/homography.hpp"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <opencv2/calib3d.hpp>

#include <random>

using namespace heatrow;
using Catch::Matchers::WithinAbs;
using Eigen::Vector2d;

namespace {

struct Points {
    std::vector<Vector2d> a;
    std::vector<Vector2d> b;
};

// A lattice seen obliquely, corners off by `noise_px`.
Points seen_lattice(double noise_px) {
    Eigen::Matrix3d map;
    map << 50.0, -4.0, 120.0, 6.0, 70.0, 90.0, 0.02, 0.03, 1.0;
    std::mt19937 random(11);
    std::normal_distribution<double> noise(0.0, 1.0);
    Points points;
    for (int row = 0; row < 4; ++row) {
        for (int column = 0; column < 9; ++column) {
            points.a.emplace_back(column, row);
            points.b.push_back((map * points.a.back().homogeneous()).hnormalized() +
                               noise_px * Vector2d(noise(random), noise(random)));
        }
    }
    return points;
}

Eigen::Matrix3d of_opencv(const Points& points) {
    std::vector<cv::Point2d> a;
    std::vector<cv::Point2d> b;
    for (std::size_t i = 0; i < points.a.size(); ++i) {
        a.emplace_back(points.a[i].x(), points.a[i].y());
        b.emplace_back(points.b[i].x(), points.b[i].y());
    }
    const cv::Mat found = cv::findHomography(a, b, 0);
    Eigen::Matrix3d map;
    for (int i = 0; i < 9; ++i) {
        map(i / 3, i % 3) = found.at<double>(i / 3, i % 3);
    }
    return map;
}

}  // namespace

TEST_CASE("homography: the same as OpenCV's, exact and noisy points", "[vision]") {
    for (const double noise_px : {0.0, 0.3}) {
        const Points points = seen_lattice(noise_px);
        const auto own = homography(points.a, points.b);
        REQUIRE(own);
        const Eigen::Matrix3d theirs = of_opencv(points);
        // OpenCV takes points in single precision and polishes its linear answer on distances in the picture: the two
        // agree within what noise leaves open.
        const double within = noise_px == 0.0 ? 1e-4 : 0.15;
        for (const Vector2d& a : points.a) {
            const Vector2d by_own = (*own * a.homogeneous()).hnormalized();
            const Vector2d by_theirs = (theirs * a.homogeneous()).hnormalized();
            CHECK((by_own - by_theirs).norm() < within);
        }
    }
}

TEST_CASE("homography: points that fix none", "[vision]") {
    const std::vector<Vector2d> line{{0, 0}, {1, 0}, {2, 0}, {3, 0}};
    const std::vector<Vector2d> corners{{0, 0}, {1, 0}, {1, 1}, {0, 1}};
    CHECK_FALSE(homography(line, corners));
    CHECK_FALSE(homography({{0, 0}, {1, 0}, {2, 0}, {3, 1}}, {{0, 0}, {1, 0}, {2, 0}, {3, 1}}));
    CHECK_FALSE(homography({{0, 0}, {1, 0}, {1, 1}}, {{0, 0}, {1, 0}, {1, 1}}));
    CHECK(homography(corners, corners));
}
