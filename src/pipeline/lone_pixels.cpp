#include "lone_pixels.hpp"

#include "heatrow/core/wide_registers.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace heatrow {
namespace {

constexpr float kFollowing = 0.08F;  // of the pixel's rise, by the mean of the four beside it

// What the pixel's surroundings would be without it: median of the twelve pixels of the 5 x 5 around that touch neither
// it nor a pixel beside it.
float surroundings_of(ImageView<float> counts, int x, int y) {
    std::array<float, 12> ring{};
    std::size_t size = 0;
    for (int dy = -2; dy <= 2; ++dy) {
        for (int dx = -2; dx <= 2; ++dx) {
            if (std::max(std::abs(dx), std::abs(dy)) == 2 && std::abs(dx) + std::abs(dy) > 2) {
                ring[size++] = counts(x + dx, y + dy);
            }
        }
    }
    std::nth_element(ring.begin(), ring.begin() + 6, ring.end());
    return ring[6];
}

bool is_lone(ImageView<float> counts, int x, int y, float least) {
    const float value = counts(x, y);
    float low = HUGE_VALF;
    float high = -HUGE_VALF;
    for (int dy = -1; dy <= 1; ++dy) {
        for (int dx = -1; dx <= 1; ++dx) {
            if (dx != 0 || dy != 0) {
                low = std::min(low, counts(x + dx, y + dy));
                high = std::max(high, counts(x + dx, y + dy));
            }
        }
    }
    if (!(value - high >= least || low - value >= least)) {
        return false;
    }
    const float around = surroundings_of(counts, x, y);
    const float beside = 0.25F * (counts(x - 1, y) + counts(x + 1, y) + counts(x, y - 1) + counts(x, y + 1));
    const float following = (beside - around) / (value - around);
    return std::abs(following) < kFollowing;  // false for NaN
}

bool has_data(ImageView<float> counts, int x, int y, float nodata) {
    for (int dy = -2; dy <= 2; ++dy) {
        for (int dx = -2; dx <= 2; ++dx) {
            if (counts(x + dx, y + dy) == nodata) {
                return false;
            }
        }
    }
    return true;
}

// Whether one of `count` pixels from `row` on stands out of both its neighbours in the row. Most do not.
HEATROW_WIDE_REGISTERS bool any_stands_out(const float* row, int count, float step) {
    int found = 0;
    for (int x = 0; x < count; ++x) {
        const float left = row[x] - row[x - 1];
        const float right = row[x] - row[x + 1];
        const int above = static_cast<int>(left >= step) & static_cast<int>(right >= step);
        const int below = static_cast<int>(left <= -step) & static_cast<int>(right <= -step);
        found |= above | below;
    }
    return found != 0;
}

}  // namespace

int replace_lone_pixels(ImageView<float> counts, double least, const std::optional<double>& nodata) {
    const auto step = static_cast<float>(least);
    int replaced = 0;
    constexpr int kRun = 64;  // pixels that are passed over together
    for (int y = 2; y < counts.height() - 2; ++y) {
        const float* row = counts.row(y);
        for (int run = 2; run < counts.width() - 2; run += kRun) {
            const int end = std::min(run + kRun, counts.width() - 2);
            if (!any_stands_out(row + run, end - run, step)) {
                continue;
            }
            for (int x = run; x < end; ++x) {
                if (!any_stands_out(row + x, 1, step) || !is_lone(counts, x, y, step) ||
                    (nodata && !has_data(counts, x, y, static_cast<float>(*nodata)))) {
                    continue;
                }
                counts(x, y) = 0.25F * (counts(x - 1, y) + counts(x + 1, y) + counts(x, y - 1) + counts(x, y + 1));
                ++replaced;
            }
        }
    }
    return replaced;
}

}  // namespace heatrow
