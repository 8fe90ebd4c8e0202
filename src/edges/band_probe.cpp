#include "heatrow/edges/band_probe.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace heatrow {

namespace {

using Eigen::Vector2d;

constexpr double kSampleStep = 0.5;       // px, of a fine profile
constexpr double kOffsetStep = 0.25;      // px, of the offsets tried before the parabola
constexpr int kCoarseHalfWindow = 4;      // px
constexpr double kWidthsPerPixel = 16.0;  // band widths are rounded to a sixteenth of a pixel
constexpr double kThinnestBand = 0.1;     // px; below it the band is not told from the step
// Linear interpolation at evenly spread phases blurs by a triangle of this variance, px^2.
constexpr double kInterpolationVariance = 1.0 / 6.0;

double step_response(double x, double sigma) {
    return 0.5 * std::erfc(-x / (sigma * std::sqrt(2.0)));
}

// Removes from `column` its parts along the columns before it and scales it to length one; zero if nothing is left.
void orthonormalise(double* columns, int which, int samples) {
    double* column = columns + which * samples;
    double before = 0.0;
    for (int k = 0; k < samples; ++k) {
        before += column[k] * column[k];
    }
    for (int other = 0; other < which; ++other) {
        const double* direction = columns + other * samples;
        double along = 0.0;
        for (int k = 0; k < samples; ++k) {
            along += column[k] * direction[k];
        }
        for (int k = 0; k < samples; ++k) {
            column[k] -= along * direction[k];
        }
    }
    double after = 0.0;
    for (int k = 0; k < samples; ++k) {
        after += column[k] * column[k];
    }
    constexpr double kNothingLeft = 1e-8;
    const double scale = after > kNothingLeft * std::max(before, 1e-300) ? 1.0 / std::sqrt(after) : 0.0;
    for (int k = 0; k < samples; ++k) {
        column[k] *= scale;
    }
}

// Squared length of what the basis leaves of a profile.
double residual_of(const double* basis, const double* profile, int samples, double profile_squared) {
    double explained = 0.0;
    for (int column = 0; column < 3; ++column) {
        const double* direction = basis + column * samples;
        double along = 0.0;
        for (int k = 0; k < samples; ++k) {
            along += direction[k] * profile[k];
        }
        explained += along * along;
    }
    return std::max(0.0, profile_squared - explained);
}

int width_key_of(double band_width_px) {
    return static_cast<int>(std::lround(std::clamp(band_width_px, 0.0, 64.0) * kWidthsPerPixel));
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

BandProber::Basis BandProber::make_basis(
    int width_key, int half_samples, double step, int half_offsets, double offset_step) const {
    Basis basis;
    basis.width_key = width_key;
    basis.samples = 2 * half_samples + 1;
    basis.offsets = 2 * half_offsets + 1;
    basis.orthonormal.resize(static_cast<std::size_t>(basis.offsets * 3 * basis.samples));
    const double half_width = 0.5 * width_key / kWidthsPerPixel;
    const double sigma = std::sqrt(options_.blur_sigma_px * options_.blur_sigma_px + kInterpolationVariance);
    for (int offset = 0; offset < basis.offsets; ++offset) {
        double* columns = basis.orthonormal.data() + static_cast<std::ptrdiff_t>(offset * 3 * basis.samples);
        for (int k = 0; k < basis.samples; ++k) {
            const double x = (k - half_samples) * step - (offset - half_offsets) * offset_step;
            const double enters = step_response(x + half_width, sigma);
            const double leaves = step_response(x - half_width, sigma);
            columns[k] = 1.0;
            columns[basis.samples + k] = leaves;
            columns[2 * basis.samples + k] = 2.0 * half_width < kThinnestBand ? 0.0 : enters - leaves;
        }
        for (int column = 0; column < 3; ++column) {
            orthonormalise(columns, column, basis.samples);
        }
    }
    return basis;
}

const BandProber::Basis& BandProber::basis_for(double band_width_px) {
    const int key = width_key_of(band_width_px);
    for (const Basis& basis : bases_) {
        if (basis.width_key == key) {
            return basis;
        }
    }
    bases_.push_back(make_basis(key, half_samples_, kSampleStep, half_offsets_, kOffsetStep));
    return bases_.back();
}

const BandProber::Basis& BandProber::coarse_basis_for(double band_width_px) {
    const int key = width_key_of(band_width_px);
    for (const Basis& basis : coarse_bases_) {
        if (basis.width_key == key) {
            return basis;
        }
    }
    coarse_bases_.push_back(make_basis(key, kCoarseHalfWindow, 1.0, 0, 1.0));
    return coarse_bases_.back();
}

// Fills profile_ with means over the strip. Samples outside the picture are NaN if `leave_blank`, else end it.
bool BandProber::read_profile(const BandLine& line, int half_samples, double step, int most_lines, bool leave_blank) {
    const int samples = 2 * half_samples + 1;
    profile_.assign(static_cast<std::size_t>(samples), 0.0);
    const Vector2d along(-line.normal.y(), line.normal.x());
    const int lines = std::clamp(static_cast<int>(2.0 * line.half_length_px) + 1, 1, most_lines);
    const double spacing = lines > 1 ? 2.0 * line.half_length_px / (lines - 1) : 0.0;
    const double first = lines > 1 ? -line.half_length_px : 0.0;
    const float nodata = static_cast<float>(options_.nodata);
    const double right = counts_.width() - 1;
    const double bottom = counts_.height() - 1;
    for (int j = 0; j < lines; ++j) {
        const Vector2d foot = line.middle + (first + j * spacing) * along;
        for (int k = 0; k < samples; ++k) {
            const double x = foot.x() + (k - half_samples) * step * line.normal.x();
            const double y = foot.y() + (k - half_samples) * step * line.normal.y();
            if (!(x >= 0.0 && y >= 0.0 && x < right && y < bottom)) {
                if (!leave_blank) {
                    return false;
                }
                profile_[static_cast<std::size_t>(k)] = kNaN;
                continue;
            }
            const int column = static_cast<int>(x);
            const int row = static_cast<int>(y);
            const float* upper = counts_.row(row) + column;
            const float* lower = counts_.row(row + 1) + column;
            if (upper[0] == nodata || upper[1] == nodata || lower[0] == nodata || lower[1] == nodata) {
                if (!leave_blank) {
                    return false;
                }
                profile_[static_cast<std::size_t>(k)] = kNaN;
                continue;
            }
            const double u = x - column;
            const double v = y - row;
            const double up =
                static_cast<double>(upper[0]) + u * (static_cast<double>(upper[1]) - static_cast<double>(upper[0]));
            const double low =
                static_cast<double>(lower[0]) + u * (static_cast<double>(lower[1]) - static_cast<double>(lower[0]));
            profile_[static_cast<std::size_t>(k)] += up + v * (low - up);
        }
    }
    for (double& value : profile_) {
        value /= lines;
    }
    return true;
}

std::optional<EdgeFix> BandProber::probe(const BandLine& line) {
    if (!read_profile(line, half_samples_, kSampleStep, options_.most_lines, false)) {
        return std::nullopt;
    }
    const Basis& basis = basis_for(line.band_width_px);
    const int samples = basis.samples;
    double mean = 0.0;
    for (const double value : profile_) {
        mean += value;
    }
    mean /= samples;
    double squared = 0.0;
    for (double& value : profile_) {
        value -= mean;
        squared += value * value;
    }
    if (!std::isfinite(squared)) {
        return std::nullopt;
    }
    residual_.resize(static_cast<std::size_t>(basis.offsets));
    int best = 0;
    for (int offset = 0; offset < basis.offsets; ++offset) {
        residual_[static_cast<std::size_t>(offset)] =
            residual_of(basis.orthonormal.data() + static_cast<std::ptrdiff_t>(offset * 3 * samples),
                        profile_.data(),
                        samples,
                        squared);
        if (residual_[static_cast<std::size_t>(offset)] < residual_[static_cast<std::size_t>(best)]) {
            best = offset;
        }
    }
    if (best == 0 || best == basis.offsets - 1) {
        return std::nullopt;
    }
    const double at_best = residual_[static_cast<std::size_t>(best)];
    const double before = residual_[static_cast<std::size_t>(best - 1)];
    const double after = residual_[static_cast<std::size_t>(best + 1)];
    const double curvature = before - 2.0 * at_best + after;  // per offset step squared
    if (!(curvature > 0.0)) {
        return std::nullopt;
    }
    const double moved = std::clamp(0.5 * (before - after) / curvature, -0.5, 0.5);
    // Samples half a pixel apart are not independent: about one in two counts, four unknowns taken off.
    const double independent = 0.5 * samples;
    const double lowest = std::max(at_best - 0.25 * (before - after) * moved, 0.0) + kCountVariance;
    EdgeFix fix;
    fix.gain = 0.5 * independent * std::log((squared + kCountVariance) / lowest);
    if (fix.gain < options_.minimum_gain) {
        return std::nullopt;
    }
    fix.offset_px = (best - half_offsets_ + moved) * kOffsetStep;
    const double variance = 0.5 * lowest / std::max(independent - 4.0, 1.0);
    fix.sd_px = kOffsetStep * std::sqrt(2.0 * variance / curvature);

    // The levels, at the best of the offsets tried: plain means where the profile is flat, then the band.
    const double half_width = 0.5 * width_key_of(line.band_width_px) / kWidthsPerPixel;
    const double sigma = std::sqrt(options_.blur_sigma_px * options_.blur_sigma_px + kInterpolationVariance);
    Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
    Eigen::Vector3d right_side = Eigen::Vector3d::Zero();
    const bool has_band = 2.0 * half_width >= kThinnestBand;
    for (int k = 0; k < samples; ++k) {
        const double x = (k - half_samples_) * kSampleStep - fix.offset_px;
        const double enters = step_response(x + half_width, sigma);
        const double leaves = step_response(x - half_width, sigma);
        const Eigen::Vector3d parts = has_band ? Eigen::Vector3d(1.0 - enters, enters - leaves, leaves)
                                               : Eigen::Vector3d(1.0 - leaves, 0.0, leaves);
        normal += parts * parts.transpose();
        right_side += parts * (profile_[static_cast<std::size_t>(k)] + mean);
    }
    if (!has_band) {
        normal(1, 1) = 1.0;
    }
    const Eigen::Vector3d levels = normal.ldlt().solve(right_side);
    fix.inner = levels[0];
    fix.band = has_band ? levels[1] : kNaN;
    fix.outer = levels[2];
    return fix;
}

void BandProber::response(const BandLine& line, int reach_px, int lines, std::vector<float>& response) {
    response.assign(static_cast<std::size_t>(2 * reach_px + 1), 0.0F);
    read_profile(line, reach_px + kCoarseHalfWindow, 1.0, lines, true);
    const Basis& basis = coarse_basis_for(line.band_width_px);
    for (int offset = 0; offset <= 2 * reach_px; ++offset) {
        const double* window = profile_.data() + offset;
        std::array<double, 2 * kCoarseHalfWindow + 1> values{};
        double mean = 0.0;
        for (int k = 0; k < basis.samples; ++k) {
            mean += window[k];
        }
        mean /= basis.samples;
        double squared = 0.0;
        for (int k = 0; k < basis.samples; ++k) {
            values[static_cast<std::size_t>(k)] = window[k] - mean;
            squared += (window[k] - mean) * (window[k] - mean);
        }
        if (!std::isfinite(squared)) {
            response[static_cast<std::size_t>(offset)] = std::numeric_limits<float>::quiet_NaN();
            continue;
        }
        const double residual = residual_of(basis.orthonormal.data(), values.data(), basis.samples, squared);
        response[static_cast<std::size_t>(offset)] = static_cast<float>(
            0.5 * basis.samples * std::log((squared + kCountVariance) / (residual + kCountVariance)));
    }
}

}  // namespace heatrow
