#include "heatrow/vision/flat_field.hpp"

#include "gradient_field.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/fixed_text.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/core/quantile.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <algorithm>
#include <cmath>
#include <span>

namespace heatrow {
namespace {

using Frames = std::span<const Image<float>* const>;

constexpr const char* kWhatFailed = "cannot estimate the flat field";
constexpr int kVignettingDegree = 4;
constexpr int kPlaneStepPx = 4;  // a plane needs no more pixels

// Position over the picture, -1 to 1 along each side.
Eigen::Vector2d normalised(int x, int y, int width, int height) {
    return {2.0 * x / std::max(1, width - 1) - 1.0, 2.0 * y / std::max(1, height - 1) - 1.0};
}

// As many as a polynomial of degree 4 has, on the stack.
constexpr int kMostTerms = 15;
using Terms = Eigen::Matrix<double, Eigen::Dynamic, 1, 0, kMostTerms, 1>;

// All x^i y^j up to the degree.
Terms monomials(const Eigen::Vector2d& at, int degree) {
    Terms result((degree + 1) * (degree + 2) / 2);
    Eigen::Index next = 0;
    double x_power = 1.0;
    for (int i = 0; i <= degree; ++i, x_power *= at.x()) {
        double term = x_power;
        for (int j = 0; i + j <= degree; ++j, term *= at.y()) {
            result(next++) = term;
        }
    }
    return result;
}

// The polynomial of this degree closest to the finite pixels, every `step`-th of them along both sides.
template <class T>
Terms fit_polynomial(ImageView<const T> picture, int degree, int step = 1) {
    const Eigen::Index terms = monomials({0.0, 0.0}, degree).size();
    Eigen::MatrixXd normal = Eigen::MatrixXd::Zero(terms, terms);
    Terms right = Terms::Zero(terms);
    for (int y = 0; y < picture.height(); y += step) {
        for (int x = 0; x < picture.width(); x += step) {
            const auto value = static_cast<double>(picture(x, y));
            if (std::isfinite(value)) {
                const Terms row = monomials(normalised(x, y, picture.width(), picture.height()), degree);
                normal.selfadjointView<Eigen::Lower>().rankUpdate(row);
                right += value * row;
            }
        }
    }
    return normal.selfadjointView<Eigen::Lower>().ldlt().solve(right);
}

Image<double> evaluate(const Terms& coefficients, int degree, int width, int height) {
    Image<double> result(width, height);
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            result.view()(x, y) = coefficients.dot(monomials(normalised(x, y, width, height), degree));
        }
    }
    return result;
}

// Of the variance that remains when each frame's plane is taken off, the share that changes from frame to frame.
double moving_share(const std::vector<Image<float>>& frames) {
    const int width = frames.front().width();
    const int height = frames.front().height();
    const auto pixels = frames.front().pixels().size();
    std::vector<double> sum(pixels, 0.0);
    std::vector<double> squares(pixels, 0.0);
    std::vector<int> count(pixels, 0);
    for (const Image<float>& frame : frames) {
        const Image<double> plane = evaluate(fit_polynomial(frame.view(), 1, kPlaneStepPx), 1, width, height);
        for (std::size_t i = 0; i < pixels; ++i) {
            const double residual = static_cast<double>(frame.pixels()[i]) - plane.pixels()[i];
            if (std::isfinite(residual)) {
                sum[i] += residual;
                squares[i] += residual * residual;
                ++count[i];
            }
        }
    }
    double moving = 0.0;
    double staying = 0.0;
    for (std::size_t i = 0; i < pixels; ++i) {
        if (count[i] < 2) {
            continue;
        }
        const double mean = sum[i] / count[i];
        const double variance = std::max(0.0, squares[i] / count[i] - mean * mean) * count[i] / (count[i] - 1.0);
        moving += variance;
        staying += std::max(0.0, mean * mean - variance / count[i]);
    }
    return moving + staying > 0.0 ? moving / (moving + staying) : 0.0;
}

FlatFieldPart figures(const Image<double>& map) {
    std::vector<double> values;
    double squares = 0.0;
    for (const double value : map.pixels()) {
        if (std::isfinite(value)) {
            values.push_back(value);
            squares += value * value;
        }
    }
    FlatFieldPart part;
    if (values.empty()) {
        part.sigma = part.peak_to_peak = kNaN;
        return part;
    }
    part.sigma = std::sqrt(squares / static_cast<double>(values.size()));
    const double high = take_quantile(values, 0.999);
    part.peak_to_peak = high - take_quantile(values, 0.001);
    return part;
}

// Root mean square of the means over the rows, or over the columns.
double line_sigma(const Image<double>& map, bool rows) {
    const int lines = rows ? map.height() : map.width();
    const int across = rows ? map.width() : map.height();
    double squares = 0.0;
    for (int line = 0; line < lines; ++line) {
        double sum = 0.0;
        int count = 0;
        for (int i = 0; i < across; ++i) {
            const double value = rows ? map.view()(i, line) : map.view()(line, i);
            if (std::isfinite(value)) {
                sum += value;
                ++count;
            }
        }
        squares += count > 0 ? (sum / count) * (sum / count) : 0.0;
    }
    return std::sqrt(squares / lines);
}

Image<double> less(const Image<double>& a, const Image<double>& b) {
    Image<double> result = a;
    for (std::size_t i = 0; i < result.pixels().size(); ++i) {
        result.pixels()[i] -= b.pixels()[i];
    }
    return result;
}

// What stays, without its plane, in its two parts.
struct StayingField {
    Image<double> vignetting;
    Image<double> fixed_pattern;
};

StayingField staying_field(Frames frames) {
    const Image<double> field = detail::integrate(detail::median_gradients(frames));
    const auto without = [](const Image<double>& map, int degree) {
        return evaluate(fit_polynomial(map.view(), degree), degree, map.width(), map.height());
    };
    const Image<double> flat = less(field, without(field, 1));
    StayingField result;
    result.vignetting = without(flat, kVignettingDegree);
    result.fixed_pattern = less(flat, result.vignetting);
    return result;
}

Image<float> sum_of_certain(const Image<double>& vignetting,
                            const FlatFieldPart& vignetting_part,
                            const Image<double>& fixed_pattern,
                            const FlatFieldPart& fixed_part) {
    Image<float> result(vignetting.width(), vignetting.height());
    for (std::size_t i = 0; i < result.pixels().size(); ++i) {
        // NaN of either part stays.
        result.pixels()[i] = static_cast<float>((vignetting_part.in_map ? 1.0 : 0.0) * vignetting.pixels()[i] +
                                                (fixed_part.in_map ? 1.0 : 0.0) * fixed_pattern.pixels()[i]);
    }
    return result;
}

void mark_missing(Image<double>& map, Frames frames) {
    for (std::size_t i = 0; i < map.pixels().size(); ++i) {
        const auto seen = std::count_if(
            frames.begin(), frames.end(), [&](const Image<float>* frame) { return std::isfinite(frame->pixels()[i]); });
        if (2 * seen < static_cast<std::ptrdiff_t>(frames.size())) {
            map.pixels()[i] = kNaN;
        }
    }
}

void require_frames(const std::vector<Image<float>>& frames, const FlatFieldLimits& limits) {
    if (static_cast<int>(frames.size()) < limits.least_frames) {
        throw Error(ErrorKind::input,
                    kWhatFailed,
                    {},
                    std::to_string(frames.size()) + " frames, at least " + std::to_string(limits.least_frames) +
                        " are needed: what is left of the noise in a median falls only with the square root of their "
                        "number",
                    "Give more frames of the same flight or of the same flat scene");
    }
    for (const Image<float>& frame : frames) {
        if (frame.width() != frames.front().width() || frame.height() != frames.front().height() || frame.empty()) {
            throw Error(ErrorKind::input,
                        kWhatFailed,
                        {},
                        "frames of " + std::to_string(frames.front().width()) + " x " +
                            std::to_string(frames.front().height()) + " and of " + std::to_string(frame.width()) +
                            " x " + std::to_string(frame.height()) + " pixels are mixed",
                        "Give frames of one camera only");
        }
    }
}

void require_motion(double share, double least_share) {
    if (share < least_share) {
        throw Error(
            ErrorKind::input,
            kWhatFailed,
            {},
            "the scene does not move: only " + fixed_text(100.0 * share, 0) +
                " % of the frames' variance changes from frame to frame, " + fixed_text(100.0 * least_share, 0) +
                " % are needed, so the scene cannot be told from the camera's own pattern",
            "Give frames of a flight with changing ground, or say --flat if an even surface filled the picture");
    }
}

// What was found beyond chance.
double found_in(const FlatFieldPart& part) {
    return std::sqrt(std::max(0.0, part.sigma * part.sigma - part.u * part.u));
}

bool is_certain(const FlatFieldPart& part, double least_ratio) {
    return found_in(part) > 0.0 && found_in(part) >= least_ratio * part.u;
}

void require_certainty(const FlatField& result, double least_ratio) {
    if (result.vignetting.in_map || result.fixed_pattern.in_map) {
        return;
    }
    const FlatFieldPart& part = result.fixed_pattern;
    const double found = found_in(part);
    const double factor = std::pow(part.u * least_ratio / found, 2.0);
    throw Error(ErrorKind::input,
                kWhatFailed,
                {},
                "the map would add about as much as it removes: " + fixed_text(found, 3) +
                    " counts of fixed pattern found, uncertain by " + fixed_text(part.u, 3) + " counts at " +
                    std::to_string(result.frames) + " frames" +
                    (found > 0.0 ? "; about " + fixed_text(std::ceil(static_cast<double>(result.frames) * factor), 0) +
                                       " frames would do"
                                 : "; it is no larger than chance makes it"),
                "Give more frames, or frames of a calmer scene");
}

}  // namespace

FlatField estimate_flat_field(const std::vector<Image<float>>& frames,
                              bool scene_is_flat,
                              const FlatFieldLimits& limits) {
    require_frames(frames, limits);
    FlatField result;
    result.frames = frames.size();
    result.moving_share = moving_share(frames);
    if (!scene_is_flat) {
        require_motion(result.moving_share, limits.least_moving_share);
    }
    std::vector<const Image<float>*> all;
    for (const Image<float>& frame : frames) {
        all.push_back(&frame);
    }
    const std::size_t half = all.size() / 2;
    StayingField field = staying_field(all);
    const StayingField first = staying_field(Frames(all).first(half));
    const StayingField second = staying_field(Frames(all).subspan(half));
    const auto describe = [&](Image<double>& part, const Image<double>& early, const Image<double>& late) {
        Image<double> doubt = less(early, late);
        mark_missing(part, all);
        mark_missing(doubt, all);
        FlatFieldPart described = figures(part);
        described.u = 0.5 * figures(doubt).sigma;
        described.in_map = is_certain(described, limits.least_ratio);
        return described;
    };
    result.vignetting = describe(field.vignetting, first.vignetting, second.vignetting);
    result.fixed_pattern = describe(field.fixed_pattern, first.fixed_pattern, second.fixed_pattern);
    if (!std::isfinite(result.fixed_pattern.sigma)) {
        throw Error(ErrorKind::input,
                    kWhatFailed,
                    {},
                    "no pixel holds a count in half of the frames",
                    "Check --nodata against the frames with 'heatrow inspect'");
    }
    require_certainty(result, limits.least_ratio);
    result.row_sigma = line_sigma(field.fixed_pattern, true);
    result.column_sigma = line_sigma(field.fixed_pattern, false);
    result.offset = sum_of_certain(field.vignetting, result.vignetting, field.fixed_pattern, result.fixed_pattern);
    return result;
}

}  // namespace heatrow
