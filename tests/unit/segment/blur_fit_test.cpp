#include "../../../src/segment/blur_fit.hpp"

#include "heatrow/edges/point_spread.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using namespace heatrow::detail;
using Catch::Matchers::WithinAbs;

namespace {

PatchLine even_cells(int count, double size, double clear) {
    PatchLine line;
    for (int i = 0; i < count; ++i) {
        line.real.push_back({i * size, (i + 1) * size});
        line.sampled.push_back({i * size + clear, (i + 1) * size - clear});
    }
    line.cells = line.real;
    return line;
}

LineBlur gaussian(double sigma) {
    LineBlur blur;
    blur.optics = {{1.0, sigma}};
    return blur;
}

Eigen::MatrixXd cells_from_sampled(const LineFit& fit) {
    return fit.cells_from_sources * fit.sources_from_sampled;
}

}  // namespace

TEST_CASE("blur fit: undoes a blur integrated numerically", "[segment]") {
    constexpr double kSigma = 0.7;
    const PatchLine line = even_cells(6, 4.8, 0.5);
    const Eigen::MatrixXd fit = cells_from_sampled(fit_line(line, gaussian(kSigma)));
    REQUIRE(fit.size() > 0);
    Eigen::VectorXd levels(6);
    levels << 3.0, 1.0, 9.0, 2.0, 2.5, 7.0;
    Eigen::VectorXd means(6);
    for (int i = 0; i < 6; ++i) {
        const auto& window = line.sampled[static_cast<std::size_t>(i)];
        double sum = 0.0;
        constexpr int kSteps = 400;
        for (int s = 0; s < kSteps; ++s) {
            const double x = window.from + (window.to - window.from) * (s + 0.5) / kSteps;
            const auto below = [x](double boundary) {
                return 0.5 * std::erfc(-(boundary - x) / (kSigma * std::sqrt(2.0)));
            };
            for (int j = 0; j < 6; ++j) {
                const double from = j == 0 ? 0.0 : below(line.real[static_cast<std::size_t>(j)].from);
                const double to = j == 5 ? 1.0 : below(line.real[static_cast<std::size_t>(j)].to);
                sum += levels[j] * (to - from) / kSteps;
            }
        }
        means[i] = sum;
    }
    const Eigen::VectorXd fitted = fit * means;
    for (int i = 0; i < 6; ++i) {
        CHECK_THAT(fitted[i], WithinAbs(levels[i], 1e-4));
    }
}

TEST_CASE("blur fit: an even picture stays even", "[segment]") {
    LineBlur blur = gaussian(0.9);
    blur.optics.front().share = 0.9;
    blur.optics.push_back({0.1, 3.0});
    blur.trail = 0.4;
    blur.sampled_shift = 0.2;
    blur.sheet = CellSheet{};
    const LineFit line = fit_line(even_cells(8, 5.0, 0.5), blur);
    REQUIRE_FALSE(line.empty());
    const FittedCells even = fitted_cells(line, line, Eigen::MatrixXd::Constant(8, 8, 30000.0));
    CHECK((even.means.array() - 30000.0).abs().maxCoeff() < 1e-6);
    CHECK(even.spreads.maxCoeff() < 1e-3);
    blur.sheet.reset();
    const Eigen::MatrixXd fit = cells_from_sampled(fit_line(even_cells(8, 5.0, 0.5), blur));
    CHECK((fit.rowwise().sum().array() - 1.0).abs().maxCoeff() < 1e-9);
}

TEST_CASE("blur fit: the finer the cells, the more the noise grows", "[segment]") {
    const auto growth = [](double size) {
        return cells_from_sampled(fit_line(even_cells(9, size, 0.2 * size), gaussian(0.6))).row(4).norm();
    };
    CHECK(growth(20.0) < 1.01);
    CHECK(growth(5.0) < 1.1);
    CHECK(growth(2.5) > growth(5.0));
    CHECK(growth(1.0) > 2.0);
}

TEST_CASE("blur fit: heat that has spread belongs to the cell that has it now", "[segment]") {
    // One source among cold cells, spread by the sheet, then blurred by optics: the fit must give the spread means.
    constexpr double kOptics = 0.016;
    constexpr int kCells = 7;
    const PatchLine line = even_cells(kCells, 0.158, 0.02);
    const CellSheet sheet;
    const HeatLine heat = spread_along(line.real, sheet);
    const auto seen = [&heat](const Interval& window, double sigma) {
        constexpr int kPlaces = 2000;
        double sum = 0.0;
        for (int s = 0; s < kPlaces; ++s) {
            const double x = window.from + (window.to - window.from) * (s + 0.5) / kPlaces;
            const auto step = [&](double place) { return 0.5 * std::erfc(-(x - place) / (sigma * std::sqrt(2.0))); };
            for (Eigen::Index i = 0; i < heat.temperatures.rows(); ++i) {
                const std::size_t bound = static_cast<std::size_t>(i);
                const double from = i == 0 ? 1.0 : step(heat.bounds[bound]);
                const double to = i + 1 == heat.temperatures.rows() ? 0.0 : step(heat.bounds[bound + 1]);
                sum += heat.temperatures(i, 3) * (from - to) / kPlaces;
            }
        }
        return sum;
    };
    Eigen::VectorXd sampled(kCells);
    Eigen::VectorXd truth(kCells);
    for (int i = 0; i < kCells; ++i) {
        sampled[i] = seen(line.sampled[static_cast<std::size_t>(i)], kOptics);
        const Interval& patch = line.cells[static_cast<std::size_t>(i)];
        truth[i] = seen(patch, 1e-6);
    }
    LineBlur blur = gaussian(kOptics);
    blur.sheet = sheet;
    const Eigen::VectorXd fitted = cells_from_sampled(fit_line(line, blur)) * sampled;
    CHECK((fitted - truth).cwiseAbs().maxCoeff() < 1e-3);
    CHECK(truth[3] < 0.9);
    // Taken for even cells, the warmed rims of the neighbours are read wrongly.
    const Eigen::VectorXd even = cells_from_sampled(fit_line(line, gaussian(kOptics))) * sampled;
    CHECK((even - truth).cwiseAbs().maxCoeff() > 0.03);
}

TEST_CASE("blur fit: a round point spread with a wide skirt is undone in both directions at once", "[segment]") {
    // Each Gaussian is a product of two line spreads, their sum is not.
    LineBlur blur;
    for (const SpreadTerm& term : point_spread(Optics{})) {
        blur.optics.push_back({term.share, term.sigma_px});
    }
    const auto seen_by = [](const PatchLine& line, double sigma) {
        return fit_line(line, gaussian(sigma)).seen.front();
    };
    for (const double height : {5.0, 2.6}) {
        const PatchLine columns = even_cells(8, 5.2, 0.5);
        const PatchLine rows = even_cells(12, height, 0.5);
        Eigen::MatrixXd truth = Eigen::MatrixXd::Constant(12, 8, 30.0);
        truth(5, 3) += 20.0;
        truth(9, 6) += 12.0;
        Eigen::MatrixXd means = Eigen::MatrixXd::Zero(12, 8);
        for (const LineTerm& term : blur.optics) {
            means += term.share * seen_by(rows, term.sigma) * truth * seen_by(columns, term.sigma).transpose();
        }
        const Eigen::MatrixXd fitted = fitted_cells(fit_line(rows, blur), fit_line(columns, blur), means).means;
        CHECK((fitted - truth).cwiseAbs().maxCoeff() < 0.003 * 20.0);
        // One Gaussian of the same contrast at the finest stripes reads the hot cell low by several hundredths.
        const LineBlur narrow = gaussian(Optics{}.blur_sigma_px);
        CHECK(fitted_cells(fit_line(rows, narrow), fit_line(columns, narrow), means).means(5, 3) - 30.0 < 0.94 * 20.0);
    }
}
