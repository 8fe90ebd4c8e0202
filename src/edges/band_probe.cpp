#include "heatrow/edges/band_probe.hpp"

#include "heatrow/core/wide_registers.hpp"
#include "heatrow/edges/trail_blur.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <map>
#include <memory>

namespace heatrow {

namespace {

using detail::BandParts;
using Eigen::Vector2d;

constexpr double kSampleStep = 0.5;    // px, of a fine profile
constexpr double kOffsetStep = 0.25;   // px, of the offsets tried before the parabola
constexpr int kCoarseHalfWindow = 4;   // px
constexpr double kKeysPerPixel = 8.0;  // band widths and trails are rounded to an eighth of a pixel
constexpr double kThinnestBand = 0.1;  // px; below it the band is not told from the step
// px, of the table that the levels are fitted with; straight lines between its places are wrong by 1e-4 of a step at
// most.
constexpr double kTableStep = 1.0 / 32.0;
// Linear interpolation at evenly spread phases blurs by a triangle of this variance, px^2.
constexpr double kInterpolationVariance = 1.0 / 6.0;

BandParts parts_at(double x, double half_width, const TrailBlur& blur) {
    const double leaves = blur.step(x - half_width);
    return {2.0 * half_width < kThinnestBand ? 0.0 : blur.step(x + half_width) - leaves, leaves};
}

void scale_to_one(Eigen::Ref<Eigen::VectorXd> direction, double length_before) {
    constexpr double kNothingLeft = 1e-4;
    const double length = direction.norm();
    direction *= length > kNothingLeft * std::max(length_before, 1e-12) ? 1.0 / length : 0.0;
}

int key_of(double px) {
    return static_cast<int>(std::lround(std::clamp(px, -64.0, 64.0) * kKeysPerPixel));
}

inline double between(double share, double from, double to) {
    return from + share * (to - from);
}

// Between the four pixels about a place inside the picture; rows are `stride` apart.
double count_between(const float* pixels, std::ptrdiff_t stride, double x, double y) {
    const int column = static_cast<int>(x);
    const int row = static_cast<int>(y);
    const float* upper = pixels + row * stride + column;
    const float* lower = upper + stride;
    const double u = x - column;
    return between(y - row,
                   between(u, static_cast<double>(upper[0]), static_cast<double>(upper[1])),
                   between(u, static_cast<double>(lower[0]), static_cast<double>(lower[1])));
}

// Adds the counts along a line through `foot` that lies wholly inside the picture to the profile: as count_between, in
// steps that each go through many samples at once.
HEATROW_WIDE_REGISTERS void add_profile(const float* pixels,
                                        std::ptrdiff_t stride,
                                        const Vector2d& foot,
                                        const Vector2d& across,
                                        int half_samples,
                                        double* profile) {
    constexpr int kBlock = 32;
    double u[kBlock];
    double v[kBlock];
    std::ptrdiff_t place[kBlock];
    float corner[4][kBlock];
    const double foot_x = foot.x();
    const double foot_y = foot.y();
    const double across_x = across.x();
    const double across_y = across.y();
    for (int first = 0; first <= 2 * half_samples; first += kBlock) {
        const int count = std::min(kBlock, 2 * half_samples + 1 - first);
        for (int i = 0; i < count; ++i) {
            const double steps = first + i - half_samples;
            const double x = foot_x + steps * across_x;
            const double y = foot_y + steps * across_y;
            const int column = static_cast<int>(x);
            const int row = static_cast<int>(y);
            u[i] = x - column;
            v[i] = y - row;
            place[i] = row * stride + column;
        }
        for (int i = 0; i < count; ++i) {
            const float* upper = pixels + place[i];
            corner[0][i] = upper[0];
            corner[1][i] = upper[1];
            corner[2][i] = upper[stride];
            corner[3][i] = upper[stride + 1];
        }
        for (int i = 0; i < count; ++i) {
            const double up = between(u[i], double{corner[0][i]}, double{corner[1][i]});
            profile[first + i] += between(v[i], up, between(u[i], double{corner[2][i]}, double{corner[3][i]}));
        }
    }
}

// Quantising noise of whole counts, as a floor under the residual of a clean picture.
constexpr double kCountVariance = 1.0 / 12.0;

}  // namespace

double EdgeFix::contrast() const {
    const double step = std::abs(inner - outer);
    return std::isnan(band) ? step : std::max(step, std::abs(0.5 * (inner + outer) - band));
}

BandProber::BandProber(CountView counts, const ProbeOptions& options)
    : counts_(counts),
      options_(options),
      half_samples_(static_cast<int>(std::lround(options.reach_px / kSampleStep))),
      half_offsets_(static_cast<int>(std::lround(std::min(options.search_px, options.reach_px - 1.5) / kOffsetStep))) {}

double BandProber::blur_of_profile() const {
    return std::sqrt(options_.blur_sigma_px * options_.blur_sigma_px + kInterpolationVariance);
}

BandProber::Basis BandProber::make_basis(int width_key, int trail_key) const {
    Basis basis;
    basis.width_key = width_key;
    basis.trail_key = trail_key;
    basis.samples = 2 * half_samples_ + 1;
    basis.offsets = 2 * half_offsets_ + 1;
    basis.directions.resize(basis.samples, 2 * basis.offsets);
    // Samples and offsets both lie on multiples of the offset step: each place is worked out once.
    constexpr int kStride = static_cast<int>(kSampleStep / kOffsetStep);
    const int farthest = kStride * half_samples_ + half_offsets_;
    const TrailBlur blur(blur_of_profile(), trail_key / kKeysPerPixel);
    std::vector<BandParts> parts;
    parts.reserve(static_cast<std::size_t>(2 * farthest + 1));
    for (int i = -farthest; i <= farthest; ++i) {
        parts.push_back(parts_at(i * kOffsetStep, 0.5 * width_key / kKeysPerPixel, blur));
    }
    for (int offset = 0; offset < basis.offsets; ++offset) {
        auto outer = basis.directions.col(2 * offset);
        auto band = basis.directions.col(2 * offset + 1);
        for (int k = 0; k < basis.samples; ++k) {
            const BandParts& at = parts[static_cast<std::size_t>(kStride * k - offset + 2 * half_offsets_)];
            outer[k] = at.outer;
            band[k] = at.band;
        }
        const double outer_length = outer.norm();
        outer.array() -= outer.mean();
        scale_to_one(outer, outer_length);
        const double band_length = band.norm();
        band.array() -= band.mean();
        band -= outer * outer.dot(band);
        scale_to_one(band, band_length);
    }
    if (options_.levels) {
        const int end = static_cast<int>(
            std::lround((half_samples_ + 1) * kSampleStep / kTableStep + half_offsets_ * kOffsetStep / kTableStep));
        for (int i = -end; i <= end; ++i) {
            basis.table.push_back(parts_at(i * kTableStep, 0.5 * width_key / kKeysPerPixel, blur));
        }
    }
    return basis;
}

const BandProber::Basis& BandProber::basis_for(const BandLine& line) {
    const int width_key = key_of(line.band_width_px);
    const int trail_key = key_of(line.trail_px);
    for (const auto& basis : bases_) {
        if (basis->width_key == width_key && basis->trail_key == trail_key) {
            return *basis;
        }
    }
    // Frames of one flight meet the same few dozen.
    constexpr std::size_t kMostKept = 512;
    thread_local std::map<BasisKey, std::shared_ptr<const Basis>> made;
    if (made.size() >= kMostKept) {
        made.clear();
    }
    const BasisKey key{width_key, trail_key, half_samples_, half_offsets_, options_.levels, blur_of_profile()};
    std::shared_ptr<const Basis>& kept = made[key];
    if (kept == nullptr) {
        kept = std::make_shared<const Basis>(make_basis(width_key, trail_key));
    }
    bases_.push_back(kept);
    return *kept;
}

const BandProber::CoarseBasis& BandProber::coarse_basis_for(const BandLine& line) {
    const int key = key_of(line.band_width_px);
    for (const CoarseBasis& basis : coarse_bases_) {
        if (basis.width_key == key && basis.glass_beyond == line.glass_beyond) {
            return basis;
        }
    }
    CoarseBasis basis{key, line.glass_beyond, CoarseDirections::Zero(), CoarseDirections::Zero()};
    const double half_width = 0.5 * key / kKeysPerPixel;
    const TrailBlur blur(blur_of_profile(), 0.0);  // the search is coarser than any trail
    for (int k = 0; k < kCoarseWindow; ++k) {
        const double x = k - kCoarseHalfWindow;
        const BandParts parts = parts_at(x, half_width, blur);
        basis.even.row(k) << 1.0, x, line.glass_beyond ? x * x : 0.0;
        basis.edge.row(k) << parts.band, line.glass_beyond ? 0.0 : parts.outer, 0.0;
    }
    for (int column = 0; column < 3; ++column) {
        const double length = basis.even.col(column).norm();
        for (int before = 0; before < column; ++before) {
            basis.even.col(column) -= basis.even.col(before) * basis.even.col(before).dot(basis.even.col(column));
        }
        scale_to_one(basis.even.col(column), length);
    }
    for (int column = 0; column < 3; ++column) {
        const double length = basis.edge.col(column).norm();
        basis.edge.col(column) -= basis.even * (basis.even.transpose() * basis.edge.col(column));
        for (int before = 0; before < column; ++before) {
            basis.edge.col(column) -= basis.edge.col(before) * basis.edge.col(before).dot(basis.edge.col(column));
        }
        scale_to_one(basis.edge.col(column), length);
    }
    coarse_bases_.push_back(basis);
    return coarse_bases_.back();
}

double BandProber::count_at(double x, double y) const {
    return count_between(counts_.row(0), counts_.row(1) - counts_.row(0), x, y);
}

bool BandProber::meets_nodata(double x, double y) const {
    const float nodata = static_cast<float>(options_.nodata);
    const float* upper = counts_.row(static_cast<int>(y)) + static_cast<int>(x);
    const float* lower = counts_.row(static_cast<int>(y) + 1) + static_cast<int>(x);
    return upper[0] == nodata || upper[1] == nodata || lower[0] == nodata || lower[1] == nodata;
}

// Fills profile_ with means over the strip. Samples outside the picture are NaN if `leave_blank`, else end it.
bool BandProber::read_profile(const BandLine& line, int half_samples, double step, int most_lines, bool leave_blank) {
    const int samples = 2 * half_samples + 1;
    profile_.setZero(samples);
    const Vector2d along(-line.normal.y(), line.normal.x());
    const int lines = std::clamp(static_cast<int>(2.0 * line.half_length_px) + 1, 1, most_lines);
    const double spacing = lines > 1 ? 2.0 * line.half_length_px / (lines - 1) : 0.0;
    const double first = lines > 1 ? -line.half_length_px : 0.0;
    const double right = counts_.width() - 1;
    const double bottom = counts_.height() - 1;
    const bool has_nodata = !std::isnan(options_.nodata);
    const Vector2d across = step * line.normal;
    const auto inside = [&](const Vector2d& at) {
        return at.x() >= 0.0 && at.y() >= 0.0 && at.x() < right && at.y() < bottom;
    };
    for (int j = 0; j < lines; ++j) {
        const Vector2d foot = line.middle + (first + j * spacing) * along;
        if (!has_nodata && inside(foot - half_samples * across) && inside(foot + half_samples * across)) {
            add_profile(counts_.row(0), counts_.row(1) - counts_.row(0), foot, across, half_samples, profile_.data());
            continue;
        }
        for (int k = 0; k < samples; ++k) {
            const Vector2d at = foot + (k - half_samples) * across;
            if (inside(at) && !meets_nodata(at.x(), at.y())) {
                profile_[k] += count_at(at.x(), at.y());
            } else if (leave_blank) {
                profile_[k] = kNaN;
            } else {
                return false;
            }
        }
    }
    profile_ /= lines;
    return true;
}

std::optional<EdgeFix> BandProber::probe(const BandLine& line) {
    if (!read_profile(line, half_samples_, kSampleStep, options_.most_lines, false)) {
        return std::nullopt;
    }
    const Basis& basis = basis_for(line);
    centred_ = profile_.array() - profile_.mean();
    const double squared = centred_.squaredNorm();
    if (!std::isfinite(squared)) {
        return std::nullopt;
    }
    parts_.noalias() = basis.directions.transpose() * centred_;
    const auto residual = [&](int offset) {
        return std::max(0.0, squared - parts_.segment<2>(2 * offset).squaredNorm());
    };
    int best = 0;
    for (int offset = 1; offset < basis.offsets; ++offset) {
        if (residual(offset) < residual(best)) {
            best = offset;
        }
    }
    if (best == 0 || best == basis.offsets - 1) {
        return std::nullopt;
    }
    const double before = residual(best - 1);
    const double after = residual(best + 1);
    const double curvature = before - 2.0 * residual(best) + after;  // per offset step squared
    if (!(curvature > 0.0)) {
        return std::nullopt;
    }
    const double moved = std::clamp(0.5 * (before - after) / curvature, -0.5, 0.5);
    // Samples half a pixel apart are not independent: about one in two counts, four unknowns taken off.
    const double independent = 0.5 * basis.samples;
    const double lowest = std::max(residual(best) - 0.25 * (before - after) * moved, 0.0) + kCountVariance;
    EdgeFix fix;
    fix.gain = 0.5 * independent * std::log((squared + kCountVariance) / lowest);
    if (fix.gain < options_.minimum_gain) {
        return std::nullopt;
    }
    fix.offset_px = (best - half_offsets_ + moved) * kOffsetStep;
    const double variance = 0.5 * lowest / std::max(independent - 4.0, 1.0);
    fix.sd_px = kOffsetStep * std::sqrt(2.0 * variance / curvature);
    if (options_.levels) {
        find_levels(basis, fix);
    }
    return fix;
}

// Least squares on the profile that the offset was found in.
void BandProber::find_levels(const Basis& basis, EdgeFix& fix) const {
    const bool has_band = basis.width_key / kKeysPerPixel >= kThinnestBand;
    const double middle = 0.5 * static_cast<double>(basis.table.size() - 1);
    Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
    Eigen::Vector3d right_side = Eigen::Vector3d::Zero();
    for (Eigen::Index k = 0; k < profile_.size(); ++k) {
        const double x = static_cast<double>(k - half_samples_) * kSampleStep - fix.offset_px;
        const double place = middle + x / kTableStep;
        const BandParts* before = basis.table.data() + static_cast<std::size_t>(place);
        const double share = place - std::floor(place);
        const double band = before[0].band + share * (before[1].band - before[0].band);
        const double outer = before[0].outer + share * (before[1].outer - before[0].outer);
        const Eigen::Vector3d row(1.0 - band - outer, band, outer);
        normal += row * row.transpose();
        right_side += row * profile_[k];
    }
    if (!has_band) {
        normal(1, 1) = 1.0;
    }
    const Eigen::Vector3d levels = normal.ldlt().solve(right_side);
    fix.inner = levels[0];
    fix.band = has_band ? levels[1] : kNaN;
    fix.outer = levels[2];
}

void BandProber::response(const BandLine& line, int reach_px, int lines, std::vector<float>& response) {
    response.assign(static_cast<std::size_t>(2 * reach_px + 1), std::numeric_limits<float>::quiet_NaN());
    read_profile(line, reach_px + kCoarseHalfWindow, 1.0, lines, true);
    const CoarseBasis& basis = coarse_basis_for(line);
    for (int offset = 0; offset <= 2 * reach_px; ++offset) {
        Eigen::Matrix<double, kCoarseWindow, 1> values = profile_.segment<kCoarseWindow>(offset);
        values.array() -= values[kCoarseHalfWindow];  // keeps the squares small
        const double squared = values.squaredNorm();
        if (std::isfinite(squared)) {
            const double uneven = std::max(0.0, squared - (basis.even.transpose() * values).squaredNorm());
            const Eigen::Vector3d parts = basis.edge.transpose() * values;
            const double explained = parts.squaredNorm();
            const double strength = std::sqrt(explained) * explained / (uneven + kCountVariance);
            response[static_cast<std::size_t>(offset)] =
                static_cast<float>(line.glass_beyond ? std::copysign(strength, parts[0]) : strength);
        }
    }
}

}  // namespace heatrow
