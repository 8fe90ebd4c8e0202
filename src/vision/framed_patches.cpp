#include "heatrow/vision/framed_patches.hpp"

#include "heatrow/core/median.hpp"

#include <opencv2/imgproc.hpp>

#include <algorithm>
#include <cmath>
#include <optional>

namespace heatrow {
namespace {

using Eigen::Vector2d;
using Quad = std::array<Vector2d, 4>;
using Contour = std::vector<cv::Point>;

constexpr std::array<double, 3> kSigmas_px{1.0, 2.0, 4.0};
constexpr double kStrongest = 0.7;  // of the line strength that 0.2 % of the pixels exceed
constexpr double kNextLevel = 0.75;
constexpr int kLevels = 12;

// Counts as float, what is no data filled with the median.
cv::Mat filled(CountView picture, double nodata) {
    std::vector<double> finite;
    cv::Mat result(picture.height(), picture.width(), CV_32F);
    const auto has_data = [&](float count) { return std::isfinite(count) && count != static_cast<float>(nodata); };
    for (int y = 0; y < picture.height(); ++y) {
        for (int x = 0; x < picture.width(); ++x) {
            if (has_data(picture(x, y))) {
                finite.push_back(static_cast<double>(picture(x, y)));
            }
        }
    }
    if (finite.empty()) {
        return {};
    }
    const auto middle = static_cast<float>(take_median(finite));
    for (int y = 0; y < picture.height(); ++y) {
        for (int x = 0; x < picture.width(); ++x) {
            // less the middle: counts of 16 bit keep their differences in single precision
            result.at<float>(y, x) = has_data(picture(x, y)) ? picture(x, y) - middle : 0.0F;
        }
    }
    return result;
}

// How far a pixel lies below (dark lines) or above what is beside it: the larger eigenvalue of the Hessian, counts.
cv::Mat line_strength(const cv::Mat& picture, double sigma_px, bool dark) {
    cv::Mat smooth;
    cv::GaussianBlur(picture, smooth, cv::Size(0, 0), sigma_px, sigma_px, cv::BORDER_REFLECT_101);
    cv::Mat xx;
    cv::Mat yy;
    cv::Mat xy;
    const float second[] = {1.0F, -2.0F, 1.0F};
    const float first[] = {-0.5F, 0.0F, 0.5F};
    const float same[] = {1.0F};
    const cv::Mat row_second(1, 3, CV_32F, const_cast<float*>(second));
    const cv::Mat row_first(1, 3, CV_32F, const_cast<float*>(first));
    const cv::Mat one(1, 1, CV_32F, const_cast<float*>(same));
    cv::sepFilter2D(smooth, xx, CV_32F, row_second, one);
    cv::sepFilter2D(smooth, yy, CV_32F, one, row_second);
    cv::sepFilter2D(smooth, xy, CV_32F, row_first, row_first);
    const auto scale = static_cast<float>((dark ? 1.0 : -1.0) * sigma_px * sigma_px);
    cv::Mat strength(picture.size(), CV_32F);
    for (int y = 0; y < picture.rows; ++y) {
        for (int x = 0; x < picture.cols; ++x) {
            const float a = scale * xx.at<float>(y, x);
            const float b = scale * yy.at<float>(y, x);
            const float c = scale * xy.at<float>(y, x);
            const float mean = 0.5F * (a + b);
            const float half = 0.5F * (a - b);
            strength.at<float>(y, x) = mean + std::sqrt(half * half + c * c);
        }
    }
    return strength;
}

float exceeded_by_share(const cv::Mat& values, double share) {
    std::vector<float> all(values.begin<float>(), values.end<float>());
    const auto at = all.begin() + static_cast<std::ptrdiff_t>((1.0 - share) * static_cast<double>(all.size() - 1));
    std::nth_element(all.begin(), at, all.end());
    return *at;
}

// Quadrilateral of a convex contour: vertices dropped where that changes the area least, until four are left.
std::optional<Quad> four_corners(const Contour& contour) {
    Contour hull;
    cv::convexHull(contour, hull);
    std::vector<Vector2d> corners;
    for (const cv::Point& point : hull) {
        corners.emplace_back(point.x, point.y);
    }
    const auto triangle = [&](std::size_t i) {
        const std::size_t n = corners.size();
        const Vector2d a = corners[i] - corners[(i + n - 1) % n];
        const Vector2d b = corners[(i + 1) % n] - corners[i];
        return std::abs(a.x() * b.y() - a.y() * b.x());
    };
    while (corners.size() > 4) {
        std::size_t least = 0;
        for (std::size_t i = 1; i < corners.size(); ++i) {
            if (triangle(i) < triangle(least)) {
                least = i;
            }
        }
        corners.erase(corners.begin() + static_cast<std::ptrdiff_t>(least));
    }
    if (corners.size() < 4) {
        return std::nullopt;
    }
    Quad quad{corners[0], corners[1], corners[2], corners[3]};
    const Vector2d a = quad[1] - quad[0];
    const Vector2d b = quad[2] - quad[1];
    if (a.x() * b.y() - a.y() * b.x() < 0.0) {
        std::swap(quad[1], quad[3]);  // to the right on the screen
    }
    return quad;
}

struct Line {
    Vector2d point;
    Vector2d along;
};

std::optional<Vector2d> crossing(const Line& a, const Line& b) {
    const double cross = a.along.x() * b.along.y() - a.along.y() * b.along.x();
    constexpr double kParallel = 0.1;
    if (std::abs(cross) < kParallel) {
        return std::nullopt;
    }
    const Vector2d between = b.point - a.point;
    return Vector2d(a.point + a.along * ((between.x() * b.along.y() - between.y() * b.along.x()) / cross));
}

std::optional<double> value_at(const cv::Mat& values, const Vector2d& at) {
    if (!(at.x() >= 0.0 && at.y() >= 0.0 && at.x() < values.cols - 1 && at.y() < values.rows - 1)) {
        return std::nullopt;
    }
    const int x = static_cast<int>(at.x());
    const int y = static_cast<int>(at.y());
    const double u = at.x() - x;
    const double v = at.y() - y;
    const auto value = [&](int i, int j) { return static_cast<double>(values.at<float>(y + j, x + i)); };
    return (1.0 - v) * ((1.0 - u) * value(0, 0) + u * value(1, 0)) + v * ((1.0 - u) * value(0, 1) + u * value(1, 1));
}

// The middle of the line along one side of a patch: strongest place along the normal, at both thirds of the side.
std::optional<Line> line_beside(const cv::Mat& strength, const Vector2d& from, const Vector2d& to, double sigma_px) {
    const Vector2d side = to - from;
    const double length = side.norm();
    if (!(length > 0.0)) {
        return std::nullopt;
    }
    const Vector2d along = side / length;
    const Vector2d outward(along.y(), -along.x());
    const double reach_px = 3.0 + 2.0 * sigma_px;
    const double inward_px = 1.0 + sigma_px;
    constexpr double kStep = 0.25;
    const auto best_offset = [&](double from_share, double to_share) {
        double best = kNaN;
        double most = 0.0;
        for (double offset = -inward_px; offset <= reach_px; offset += kStep) {
            double sum = 0.0;
            constexpr int kPoints = 9;
            for (int i = 0; i < kPoints; ++i) {
                const double share = from_share + (to_share - from_share) * i / (kPoints - 1);
                sum += std::max(0.0, value_at(strength, from + share * side + offset * outward).value_or(0.0));
            }
            if (sum > most) {
                most = sum;
                best = offset;
            }
        }
        return best;
    };
    const double first = best_offset(0.12, 0.5);
    const double second = best_offset(0.5, 0.88);
    if (std::isnan(first) || std::isnan(second)) {
        return std::nullopt;
    }
    const Vector2d a = from + 0.31 * side + first * outward;
    const Vector2d b = from + 0.69 * side + second * outward;
    return Line{a, (b - a).normalized()};
}

std::optional<Quad> onto_lines(const Quad& inside, const cv::Mat& strength, double sigma_px) {
    std::array<Line, 4> lines;
    for (std::size_t i = 0; i < 4; ++i) {
        const auto line = line_beside(strength, inside[i], inside[(i + 1) % 4], sigma_px);
        if (!line) {
            return std::nullopt;
        }
        lines[i] = *line;
    }
    Quad quad;
    for (std::size_t i = 0; i < 4; ++i) {
        const auto corner = crossing(lines[(i + 3) % 4], lines[i]);
        if (!corner || (*corner - inside[i]).norm() > 8.0 + 4.0 * sigma_px) {
            return std::nullopt;
        }
        quad[i] = *corner;
    }
    return quad;
}

double likeness(const Contour& contour, const Quad& quad) {
    Contour corners;
    for (const Vector2d& corner : quad) {
        corners.emplace_back(static_cast<int>(std::lround(corner.x())), static_cast<int>(std::lround(corner.y())));
    }
    cv::Rect box = cv::boundingRect(contour) | cv::boundingRect(corners);
    cv::Mat patch = cv::Mat::zeros(box.size(), CV_8UC1);
    cv::Mat model = patch.clone();
    cv::fillPoly(patch, std::vector<Contour>{contour}, 1, cv::LINE_8, 0, -box.tl());
    cv::fillPoly(model, std::vector<Contour>{corners}, 1, cv::LINE_8, 0, -box.tl());
    const int common = cv::countNonZero(patch & model);
    const int both = cv::countNonZero(patch | model);
    return both > 0 ? static_cast<double>(common) / both : 0.0;
}

bool touches_border(const Contour& contour, const cv::Size& size) {
    const cv::Rect box = cv::boundingRect(contour);
    return box.x <= 1 || box.y <= 1 || box.br().x >= size.width - 1 || box.br().y >= size.height - 1;
}

std::vector<Quad> patches_between(const cv::Mat& strength,
                                  double level,
                                  double sigma_px,
                                  const FramedPatchOptions& options) {
    const cv::Mat areas = strength < level;
    std::vector<Contour> contours;
    // Outer borders alone: a hot cell inside a module may be ringed by a line and is no hole.
    cv::findContours(areas, contours, cv::RETR_CCOMP, cv::CHAIN_APPROX_NONE);
    std::vector<Quad> quads;
    const double largest = options.largest_share * static_cast<double>(strength.total());
    for (const Contour& contour : contours) {
        const double area = cv::contourArea(contour);
        if (area < options.least_area_px || area > largest || touches_border(contour, strength.size())) {
            continue;
        }
        const auto inside = four_corners(contour);
        if (!inside || likeness(contour, *inside) < options.least_likeness) {
            continue;
        }
        if (const auto quad = onto_lines(*inside, strength, sigma_px)) {
            quads.push_back(*quad);
        }
    }
    return quads;
}

// Of the strength where there are no lines.
double scatter_of(const cv::Mat& strength) {
    return robust_sigma({strength.begin<float>(), strength.end<float>()});
}

}  // namespace

std::vector<FramedPatches> find_framed_patches(CountView picture, const FramedPatchOptions& options) {
    cv::setNumThreads(1);
    std::vector<FramedPatches> found;
    const cv::Mat counts = filled(picture, options.nodata);
    if (counts.empty()) {
        return found;
    }
    for (const double sigma : kSigmas_px) {
        for (const bool dark : {true, false}) {
            const cv::Mat strength = line_strength(counts, sigma, dark);
            const double least = options.least_line_to_noise * scatter_of(strength);
            constexpr double kStrongShare = 0.002;
            double level = kStrongest * static_cast<double>(exceeded_by_share(strength, kStrongShare));
            for (int i = 0; i < kLevels && level > std::max(least, 0.0); ++i, level *= kNextLevel) {
                FramedPatches patches{dark, sigma, level, patches_between(strength, level, sigma, options)};
                if (!patches.corners_px.empty()) {
                    found.push_back(std::move(patches));
                }
            }
        }
    }
    return found;
}

}  // namespace heatrow
