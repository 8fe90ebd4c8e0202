#include "heatrow/io/drawing_fit.hpp"

#include <algorithm>
#include <cmath>
#include <complex>

namespace heatrow {
namespace {

using Complex = std::complex<double>;

struct Similarity {
    Complex turn;  // scale and turn in one
    Complex shift;
    std::vector<double> residuals;
    double sum_of_squares = 0.0;
};

// `mirrored`: the drawing's y axis counts the other way.
Similarity solve(const std::vector<PointPair>& pairs, bool mirrored) {
    const auto drawn = [mirrored](const PointPair& pair) {
        return Complex(pair.in_drawing.x(), mirrored ? -pair.in_drawing.y() : pair.in_drawing.y());
    };
    const auto placed = [](const PointPair& pair) { return Complex(pair.in_site.x(), pair.in_site.y()); };
    const double count = static_cast<double>(pairs.size());
    Complex drawn_middle;
    Complex placed_middle;
    for (const PointPair& pair : pairs) {
        drawn_middle += drawn(pair) / count;
        placed_middle += placed(pair) / count;
    }
    Complex product;
    double spread = 0.0;
    for (const PointPair& pair : pairs) {
        product += std::conj(drawn(pair) - drawn_middle) * (placed(pair) - placed_middle);
        spread += std::norm(drawn(pair) - drawn_middle);
    }
    Similarity found;
    found.turn = spread > 0.0 ? product / spread : Complex(0.0);
    found.shift = placed_middle - found.turn * drawn_middle;
    for (const PointPair& pair : pairs) {
        const double residual = std::abs(placed(pair) - found.turn * drawn(pair) - found.shift);
        found.residuals.push_back(residual);
        found.sum_of_squares += residual * residual;
    }
    return found;
}

}  // namespace

Eigen::Vector2d DrawingFit::to_site(const Eigen::Vector2d& in_drawing) const {
    const Complex placed = std::polar(scale, turn_rad) * Complex(in_drawing.x(), in_drawing.y());
    return shift + Eigen::Vector2d(placed.real(), placed.imag());
}

tl::expected<DrawingFit, std::string> fit_drawing(const std::vector<PointPair>& pairs) {
    const Similarity found = solve(pairs, false);
    if (pairs.size() < 2 || std::abs(found.turn) == 0.0) {
        return tl::unexpected(std::string("the points coincide"));
    }
    // A mirrored fit that is ten times better is no chance.
    constexpr double kFarBetter = 100.0;
    constexpr double kRounding_m2 = 1e-6;
    if (pairs.size() > 2 && found.sum_of_squares > kFarBetter * solve(pairs, true).sum_of_squares + kRounding_m2) {
        return tl::unexpected(std::string(
            "the drawing would have to be mirrored: east and north, or longitude and latitude, have changed places"));
    }
    return DrawingFit{
        std::abs(found.turn), std::arg(found.turn), {found.shift.real(), found.shift.imag()}, found.residuals};
}

}  // namespace heatrow
