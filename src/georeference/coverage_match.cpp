#include "coverage_match.hpp"

#include "heatrow/core/quantile.hpp"
#include "heatrow/core/wide_registers.hpp"
#include "heatrow/edges/quad.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <cstring>
#include <optional>

namespace heatrow::detail {

namespace {

using Eigen::ArrayXXf;
using Eigen::Vector2d;

// Share of the variance that no placement explains (modules and ground are not even): keeps small differences between
// good placements from counting (own choice).
constexpr float kUnexplained = 0.05F;
// Block values beyond these quantiles are drawn in: one hot spot must not outweigh a row.
constexpr double kLowQuantile = 0.01;
constexpr double kHighQuantile = 0.99;

std::vector<float> gaussian(double sd) {
    std::vector<float> kernel;
    if (sd * sd < 0.5) {
        // Three taps of the right variance: a Gaussian this narrow would vanish between the cells.
        const float side = static_cast<float>(0.5 * sd * sd);
        return {side, 1.0F - 2.0F * side, side};
    }
    const int half = static_cast<int>(std::ceil(3.0 * sd));
    float sum = 0.0F;
    for (int i = -half; i <= half; ++i) {
        kernel.push_back(static_cast<float>(std::exp(-0.5 * i * i / (sd * sd))));
        sum += kernel.back();
    }
    for (float& weight : kernel) {
        weight /= sum;
    }
    return kernel;
}

ArrayXXf along_first(const ArrayXXf& in, const std::vector<float>& kernel) {
    const int half = static_cast<int>(kernel.size() / 2);
    ArrayXXf out = ArrayXXf::Zero(in.rows(), in.cols());
    for (Eigen::Index y = 0; y < in.cols(); ++y) {
        const auto from = in.col(y);
        auto to = out.col(y);
        for (int i = -half; i <= half; ++i) {
            const Eigen::Index shift = std::abs(i);
            if (shift >= in.rows()) {
                continue;
            }
            const Eigen::Index length = in.rows() - shift;
            const float weight = kernel[static_cast<std::size_t>(i + half)];
            to.segment(i > 0 ? 0 : shift, length) += weight * from.segment(i > 0 ? shift : 0, length);
        }
    }
    return out;
}

void draw_in_extremes(ArrayXXf& means) {
    std::vector<float> all(means.data(), means.data() + means.size());
    const float low = take_quantile(all, kLowQuantile);
    const float high = take_quantile(all, kHighQuantile);
    means = means.max(low).min(high);
}

// Of the pixels with data; NaN where there is none.
float mean_of_data(CountView counts, int left, int top, int size, float missing) {
    double sum = 0.0;
    int count = 0;
    for (int row = top; row < top + size; ++row) {
        const float* pixels = counts.row(row) + left;
        for (int i = 0; i < size; ++i) {
            if (pixels[i] != missing && std::isfinite(pixels[i])) {
                sum += static_cast<double>(pixels[i]);
                ++count;
            }
        }
    }
    return count > 0 ? static_cast<float>(sum / count) : std::nanf("");
}

// Means of the blocks side by side below row `top`, columns first; a missing pixel makes its column NaN.
void means_of_row(CountView counts, int top, int size, float missing, std::vector<float>& column, float* means) {
    column.assign(column.size(), 0.0F);
    for (int row = top; row < top + size; ++row) {
        const float* pixels = counts.row(row);
        for (std::size_t x = 0; x < column.size(); ++x) {
            column[x] += pixels[x] == missing ? std::nanf("") : pixels[x];
        }
    }
    const float pixels_in_block = static_cast<float>(size * size);
    for (int left = 0; left + size <= counts.width(); left += size) {
        float sum = 0.0F;
        for (int i = left; i < left + size; ++i) {
            sum += column[static_cast<std::size_t>(i)];
        }
        *means++ = std::isfinite(sum) ? sum / pixels_in_block : mean_of_data(counts, left, top, size, missing);
    }
}

// Sums over every window of the size of the picture, by running sums.
ArrayXXf window_sums(const ArrayXXf& values, Eigen::Index width, Eigen::Index height) {
    Eigen::ArrayXXd running = Eigen::ArrayXXd::Zero(values.rows() + 1, values.cols() + 1);
    for (Eigen::Index y = 0; y < values.cols(); ++y) {
        double row = 0.0;
        for (Eigen::Index x = 0; x < values.rows(); ++x) {
            row += static_cast<double>(values(x, y));
            running(x + 1, y + 1) = running(x + 1, y) + row;
        }
    }
    const Eigen::Index across = values.rows() - width + 1;
    const Eigen::Index down = values.cols() - height + 1;
    const Eigen::ArrayXXd sums = running.block(width, height, across, down) - running.block(0, height, across, down) -
                                 running.block(width, 0, across, down) + running.block(0, 0, across, down);
    return sums.cast<float>();
}

// Shifts worked on side by side.
constexpr Eigen::Index kLanes = 16;
using Lanes = float __attribute__((vector_size(kLanes * sizeof(float))));

// Products of the picture's columns with those of a mask that is `kLanes` longer at least than picture and shift
// together, summed up over the whole picture for the shifts from `shift` to the last lane. Both lie column by column.
HEATROW_WIDE_REGISTERS void products_with_mask(const float* picture,
                                               Eigen::Index width,
                                               Eigen::Index height,
                                               const float* mask,
                                               Eigen::Index stride,
                                               float* sums) {
    Lanes total{};
    for (Eigen::Index y = 0; y < height; ++y, picture += width, mask += stride) {
        Lanes at[4];
        Eigen::Index x = 0;
        for (; x + 3 < width; x += 4) {
            std::memcpy(at, mask + x, sizeof(Lanes));
            std::memcpy(at + 1, mask + x + 1, sizeof(Lanes));
            std::memcpy(at + 2, mask + x + 2, sizeof(Lanes));
            std::memcpy(at + 3, mask + x + 3, sizeof(Lanes));
            total += picture[x] * at[0] + picture[x + 1] * at[1] + picture[x + 2] * at[2] + picture[x + 3] * at[3];
        }
        for (; x < width; ++x) {
            std::memcpy(at, mask + x, sizeof(Lanes));
            total += picture[x] * at[0];
        }
    }
    std::memcpy(sums, &total, sizeof(Lanes));
}

}  // namespace

ArrayXXf smoothed(const ArrayXXf& values, double sd) {
    const std::vector<float> kernel = gaussian(sd);
    const ArrayXXf once = along_first(values, kernel);
    return along_first(once.transpose(), kernel).transpose();
}

Image<float> line_strength(CountView counts, double nodata) {
    constexpr int kHalf = 2;
    constexpr float kPixels = (2 * kHalf + 1) * (2 * kHalf + 1);
    const float missing = static_cast<float>(nodata);
    Image<float> strength(counts.width(), counts.height());
    if (counts.width() <= 2 * kHalf || counts.height() <= 2 * kHalf) {
        return strength;
    }
    // Sums over five rows, column by column; a missing pixel makes them NaN for as long as it takes part.
    std::vector<float> column(static_cast<std::size_t>(counts.width()));
    for (int y = kHalf; y + kHalf < counts.height(); ++y) {
        std::fill(column.begin(), column.end(), 0.0F);
        for (int row = y - kHalf; row <= y + kHalf; ++row) {
            const float* pixels = counts.row(row);
            for (int x = 0; x < counts.width(); ++x) {
                column[static_cast<std::size_t>(x)] += pixels[x] == missing ? std::nanf("") : pixels[x];
            }
        }
        const float* pixels = counts.row(y);
        float* out = strength.view().row(y);
        for (int x = kHalf; x + kHalf < counts.width(); ++x) {
            float sum = 0.0F;
            for (int i = x - kHalf; i <= x + kHalf; ++i) {
                sum += column[static_cast<std::size_t>(i)];
            }
            const float off = std::abs(pixels[x] - sum / kPixels);
            out[x] = std::isfinite(off) ? off : 0.0F;
        }
    }
    return strength;
}

BlockPicture reduce(CountView counts, int block_px, double nodata) {
    BlockPicture picture;
    picture.block_px = block_px;
    const int columns = counts.width() / block_px;
    const int rows = counts.height() / block_px;
    picture.means = ArrayXXf::Zero(columns, rows);
    double total = 0.0;
    double known = 0.0;
    std::vector<Eigen::Index> empty;
    std::vector<float> column(static_cast<std::size_t>(counts.width()));
    for (int y = 0; y < rows; ++y) {
        float* means = picture.means.data() + static_cast<Eigen::Index>(y) * columns;
        means_of_row(counts, y * block_px, block_px, static_cast<float>(nodata), column, means);
        for (int x = 0; x < columns; ++x) {
            const float mean = means[x];
            if (std::isnan(mean)) {
                empty.push_back(x + static_cast<Eigen::Index>(y) * columns);
            } else {
                total += static_cast<double>(mean);
                known += 1.0;
            }
        }
    }
    const float mean = known > 0.0 ? static_cast<float>(total / known) : 0.0F;
    for (const Eigen::Index place : empty) {
        picture.means.data()[place] = mean;
    }
    if (picture.means.size() > 0) {
        draw_in_extremes(picture.means);
    }
    return picture;
}

BlockPicture about_mean(const BlockPicture& picture, double blur_blocks) {
    BlockPicture out = picture;
    if (out.means.size() == 0) {
        return out;
    }
    if (blur_blocks > 0.0) {
        const Eigen::Index columns = picture.means.rows();
        const Eigen::Index rows = picture.means.cols();
        const Eigen::Index crop =
            std::min(static_cast<Eigen::Index>(std::ceil(2.0 * blur_blocks)), std::min(columns, rows) / 4);
        out.blur_blocks = blur_blocks;
        out.cropped = static_cast<int>(crop);
        // Less its mean first: beyond the border is nothing, and the crop leaves 2 % of that.
        out.means = smoothed(picture.means - picture.means.mean(), blur_blocks)
                        .block(crop, crop, columns - 2 * crop, rows - 2 * crop)
                        .eval();
    }
    out.means -= out.means.mean();
    return out;
}

Coverage cover(const LayoutIndex& site,
               const PosedCamera& camera,
               const std::vector<int>& modules,
               int block_px,
               Eigen::Vector2i blocks,
               int border) {
    const Eigen::Index columns = blocks.x() + 2 * border;
    const Eigen::Index rows = blocks.y() + 2 * border;
    Coverage coverage;
    coverage.border = border;
    coverage.shares = ArrayXXf::Zero(columns, rows);
    ArrayXXf& covered = coverage.shares;
    const double block = block_px;
    for (const int module : modules) {
        std::array<Vector2d, 4> corners;
        bool whole = true;
        for (std::size_t i = 0; i < 4 && whole; ++i) {
            const std::optional<Vector2d> pixel = camera.project(site.module(module).corners_in_site[i]);
            whole = pixel.has_value();
            if (whole) {
                // Block (0, 0) covers pixels 0 to block - 1: its centre is at (block - 1) / 2.
                corners[i] = ((*pixel - Vector2d::Constant(0.5 * (block - 1.0))) / block).array() + border;
            }
        }
        if (!whole) {
            continue;
        }
        const Quad quad(corners);
        const auto from = [](double low) {
            return std::max<Eigen::Index>(0, static_cast<Eigen::Index>(std::floor(low - 1.0)));
        };
        if (!(quad.high().x() > -2.0 && quad.high().y() > -2.0 && quad.low().x() < static_cast<double>(columns) + 2.0 &&
              quad.low().y() < static_cast<double>(rows) + 2.0)) {
            continue;
        }
        const Eigen::Index last_x = std::min(columns - 1, static_cast<Eigen::Index>(std::ceil(quad.high().x() + 1.0)));
        const Eigen::Index last_y = std::min(rows - 1, static_cast<Eigen::Index>(std::ceil(quad.high().y() + 1.0)));
        for (Eigen::Index y = from(quad.low().y()); y <= last_y; ++y) {
            for (Eigen::Index x = from(quad.low().x()); x <= last_x; ++x) {
                covered(x, y) += static_cast<float>(quad.coverage(static_cast<double>(x), static_cast<double>(y)));
            }
        }
    }
    covered = covered.min(1.0F);
    return coverage;
}

ArrayXXf explained_by_shift(const BlockPicture& picture, const Coverage& coverage, int reach) {
    const Eigen::Index width = picture.means.rows();
    const Eigen::Index height = picture.means.cols();
    const Eigen::Index span = 2 * reach + 1;
    const Eigen::Index from = coverage.border + picture.cropped - reach;
    const ArrayXXf covered =
        (picture.blur_blocks > 0.0 ? smoothed(coverage.shares, picture.blur_blocks) : coverage.shares)
            .block(from, from, width + 2 * reach, height + 2 * reach);
    const float count = static_cast<float>(width * height);
    const ArrayXXf means = window_sums(covered, width, height) / count;
    const ArrayXXf squares = window_sums(covered.square(), width, height) / count;

    // Rows of zeros behind the mask: the last lanes read on.
    ArrayXXf mask = ArrayXXf::Zero(covered.rows() + kLanes, covered.cols());
    mask.topRows(covered.rows()) = covered;
    ArrayXXf products(span, span);
    std::array<float, kLanes> sums{};
    for (Eigen::Index dy = 0; dy < span; ++dy) {
        for (Eigen::Index dx = 0; dx < span; dx += kLanes) {
            const Eigen::Index lanes = std::min(kLanes, span - dx);
            products_with_mask(picture.means.data(), width, height, &mask(dx, dy), mask.rows(), sums.data());
            products.col(dy).segment(dx, lanes) = Eigen::Map<const Eigen::ArrayXf>(sums.data(), lanes);
        }
    }
    products /= count;
    const float picture_variance = picture.means.square().mean();
    // The mean of the picture is zero, so the products are covariances.
    const ArrayXXf variance = (squares - means.square()).max(1e-6F) * std::max(picture_variance, 1e-12F);
    const ArrayXXf explained = (products.square() / variance).min(1.0F);
    return (products > 0.0F).select(explained, -explained);
}

ArrayXXf likelihood_gain(const ArrayXXf& explained, bool warmer, double independent) {
    const ArrayXXf share = (warmer ? explained : ArrayXXf(-explained)).max(0.0F);
    return -0.5F * static_cast<float>(independent) * ((1.0F - share + kUnexplained) / (1.0F + kUnexplained)).log();
}

}  // namespace heatrow::detail
