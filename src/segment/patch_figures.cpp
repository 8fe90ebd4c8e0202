#include "patch_figures.hpp"

#include <algorithm>

namespace heatrow::detail {

namespace {

struct PixelBox {
    int left;
    int top;
    int right;
    int bottom;
};

PixelBox box_of(CountView counts, const Quad& patch) {
    // Patches lie near the picture by construction; the clamp keeps the conversion to integers safe all the same.
    const auto pixel = [](double value, int last) {
        return static_cast<int>(std::clamp(value, 0.0, static_cast<double>(last)));
    };
    return {pixel(std::floor(patch.low().x() + 0.5), counts.width() - 1),
            pixel(std::floor(patch.low().y() + 0.5), counts.height() - 1),
            pixel(std::ceil(patch.high().x() - 0.5), counts.width() - 1),
            pixel(std::ceil(patch.high().y() - 0.5), counts.height() - 1)};
}

}  // namespace

PatchFigures figures_of(CountView counts, const Quad& patch, float nodata) {
    PatchFigures figures;
    if (counts.empty()) {
        return figures;
    }
    const PixelBox box = box_of(counts, patch);
    double origin = kNaN;  // keeps the squares small
    double weights = 0.0;
    double sum = 0.0;
    double squares = 0.0;
    for (int y = box.top; y <= box.bottom; ++y) {
        const float* row = counts.row(y);
        for (int x = box.left; x <= box.right; ++x) {
            const double weight = patch.coverage(x, y);
            if (!(weight > 0.0) || row[x] == nodata) {
                continue;
            }
            const double value = static_cast<double>(row[x]);
            if (weights <= 0.0) {
                origin = value;
                figures.lowest = figures.highest = row[x];
            }
            figures.lowest = std::min(figures.lowest, row[x]);
            figures.highest = std::max(figures.highest, row[x]);
            weights += weight;
            sum += weight * (value - origin);
            squares += weight * (value - origin) * (value - origin);
        }
    }
    if (weights > 0.0) {
        const double mean = sum / weights;
        figures.mean = origin + mean;
        figures.spread = std::sqrt(std::max(0.0, squares / weights - mean * mean));
        figures.pixels = weights;
    }
    return figures;
}

double hottest_of(CountView counts, const Quad& patch, float nodata) {
    double hottest = kNaN;
    if (counts.width() < 3 || counts.height() < 3) {
        return hottest;
    }
    const PixelBox box = box_of(counts, patch);
    for (int y = std::max(box.top, 1); y <= std::min(box.bottom, counts.height() - 2); ++y) {
        for (int x = std::max(box.left, 1); x <= std::min(box.right, counts.width() - 2); ++x) {
            if (!patch.holds_square(x, y, 1.5)) {
                continue;
            }
            double sum = 0.0;
            bool whole = true;
            for (int dy = -1; dy <= 1; ++dy) {
                const float* row = counts.row(y + dy) + x;
                for (int dx = -1; dx <= 1; ++dx) {
                    whole = whole && row[dx] != nodata;
                    sum += static_cast<double>(row[dx]);
                }
            }
            if (whole && !(sum / 9.0 <= hottest)) {
                hottest = sum / 9.0;
            }
        }
    }
    return hottest;
}

}  // namespace heatrow::detail
